// Make a photograph small before it is sent: at most 1600 pixels on the long side, upright, and
// without the place and camera notes a phone writes into it. If anything fails the photograph goes
// as it is: a large photograph is better than none.

const LONG_SIDE = 1600;
const LARGEST = 25e6; // venue/photographs.py says the same, and has the last word
const BEGINNINGS = { JPEG: [0xff, 0xd8, 0xff], PNG: [0x89, 0x50, 0x4e, 0x47], WebP: [0x52, 0x49, 0x46, 0x46] };

// Why a file would be refused when it arrives, in a sentence; empty where it may go.
export async function refusalOf(file) {
  if (file.size > LARGEST) {
    return `“${file.name}” is ${Math.floor(file.size / 1e6)} MB; a photograph may have 25 MB. Take it again smaller.`;
  }
  const found = new Uint8Array(await file.slice(0, 4).arrayBuffer());
  if (Object.values(BEGINNINGS).some((bytes) => bytes.every((byte, place) => found[place] === byte))) return "";
  return `“${file.name}” is not a photograph this can read. Send a JPEG, PNG or WebP picture.`;
}

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
