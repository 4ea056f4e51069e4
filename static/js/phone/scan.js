// Read a tag's code with the camera, in the page. Nothing is kept of what the camera sees.

import { button, make, overPage, spoken } from "../dom.js";
import { signal } from "./signals.js";

const LOOK_EVERY = 200;

// The browser's own reader, or the one that comes along and is fetched only where there is none.
async function reader() {
  const Reader = globalThis.BarcodeDetector ?? (await import("../../vendor/qr/decode.js")).BarcodeDetector;
  return new Reader({ formats: ["qr_code"] });
}

// The page a code stands for, in this house only; a label may have been printed under another
// name of the same server.
function pageOfCode(text, venue) {
  const path = URL.canParse(text) ? new URL(text).pathname : "";
  return path.startsWith(`/v/${venue}/t/`) && /^\/v\/[^/]+\/t\/[^/]+\/$/.test(path) ? path : "";
}

function frame() {
  const heading = make("h2", "", "Hold the tag before the camera");
  const video = make("video", "camera", "", { muted: true, playsInline: true });
  const told = spoken("", "Looking for a tag.");
  const dialog = overPage("over-page", heading, video, told, button("Close", () => dialog.close()));
  return { dialog, video, told };
}

export async function scanTag(venue) {
  const { dialog, video, told } = frame();
  let stream = null;
  const stop = () => stream?.getTracks().forEach((track) => track.stop());
  dialog.addEventListener("close", stop);
  dialog.showModal();
  try {
    stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
    if (!dialog.open) return stop();
    video.srcObject = stream;
    await video.play();
    await look({ dialog, video, told, venue });
  } catch {
    told.textContent = "The camera cannot be used here. Type the tag instead.";
  }
}

async function look({ dialog, video, told, venue }) {
  const detector = await reader().catch(() => null);
  if (!detector) return (told.textContent = "No reader of codes is on this phone yet. Type the tag instead.");
  while (dialog.open) {
    const codes = await detector.detect(video);
    const page = codes.map(({ rawValue }) => pageOfCode(rawValue, venue)).find(Boolean);
    if (page) {
      signal("found");
      dialog.close();
      return location.assign(page);
    }
    if (codes.length) told.textContent = "This code is no tag of this house.";
    await new Promise((done) => setTimeout(done, LOOK_EVERY));
  }
}
