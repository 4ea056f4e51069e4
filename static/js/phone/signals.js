// What the hand and the ear are told: a short shake, and a tone where this device was asked for one
// (the choice at the foot of a page; silent at first, for there may be a show on).

const SHAKES = { found: 40, saved: [40, 60, 40], bad: 400 };
// Each tone: hertz, when it begins, how long it lasts, in seconds. Saved rises, bad is low and long.
const TONES = { found: [[880, 0, 0.08]], saved: [[660, 0, 0.12], [880, 0.14, 0.2]], bad: [[220, 0, 0.5]] };
let ears = null;

function wantsSound() {
  try {
    return localStorage.getItem("loftbook-sound") === "tones";
  } catch {
    return false;
  }
}

function play(tones) {
  ears ??= new AudioContext();
  for (const [hertz, begin, length] of tones) {
    const tone = new OscillatorNode(ears, { frequency: hertz });
    const loud = new GainNode(ears, { gain: 0.25 });
    const from = ears.currentTime + begin;
    loud.gain.setTargetAtTime(0, from + length * 0.7, length * 0.1); // ends without a click
    tone.connect(loud).connect(ears.destination);
    tone.start(from);
    tone.stop(from + length);
  }
}

export function signal(what) {
  navigator.vibrate?.(SHAKES[what]);
  if (wantsSound() && globalThis.AudioContext) play(TONES[what]);
}
