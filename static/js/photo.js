// Make a photograph small before it is sent: at most 1600 pixels on the long side, upright, and
// without the place and camera notes a phone writes into it. If anything fails the photograph goes
// as it is: a large photograph is better than none.

const LONG_SIDE = 1600;

async function drawSmall(file) {
  const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  const scale = Math.min(1, LONG_SIDE / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(picture.width * scale));
  canvas.height = Math.max(1, Math.round(picture.height * scale));
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  return new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.85));
}

async function smaller(file) {
  if (!file.type.startsWith("image/")) return file;
  try {
    const blob = await drawSmall(file);
    if (!blob) return file;
    const name = `${file.name.replace(/\.[^.]*$/, "")}.jpg`;
    return new File([blob], name, { type: "image/jpeg", lastModified: file.lastModified });
  } catch {
    return file;
  }
}

// Replaces the files in the field itself, so that the plain form sends the small ones too.
export async function shrinkPhotos(input) {
  const files = [...input.files];
  const small = await Promise.all(files.map(smaller));
  try {
    const carrier = new DataTransfer();
    for (const file of small) carrier.items.add(file);
    input.files = carrier.files;
  } catch {
    // The browser keeps the originals in the field.
  }
}
