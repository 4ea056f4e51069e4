// A voice note of at most a minute, kept on this phone as soon as it is stopped. Where there is no
// microphone a sound file may be chosen; what is typed stays in any case.

import { button, holding, make, spoken } from "../dom.js";

const LONGEST_SOUND = 60;
const LARGEST_SOUND = 5e6; // venue/voice_notes.py says the same, and has the last word
const TOLD_AT = [30, 10];
const TYPES = ["audio/webm;codecs=opus", "audio/mp4", "audio/ogg;codecs=opus"];
const NO_SOUND = {
  NotAllowedError: "The microphone was refused. Type it instead, or allow the microphone for this address in the browser's settings.",
  NotFoundError: "This phone has no microphone that can be used. Type it instead.",
};
const AS_FILE = "A sound file can be chosen below.";

let running = null; // { stop, kept }: only one at a time
let player = null;

export async function stopRecording() {
  running?.stop();
  await running?.kept;
}

const isSeen = (box) => box.getClientRects().length > 0;

const canRecord = () => Boolean(navigator.mediaDevices?.getUserMedia && globalThis.MediaRecorder);

// Begins at once; `stop` ends it, `done` gives the sound.
function recordFrom(stream) {
  const mimeType = TYPES.find((type) => MediaRecorder.isTypeSupported(type));
  const recorder = new MediaRecorder(stream, { mimeType, audioBitsPerSecond: 32000 });
  const [parts, begun] = [[], performance.now()];
  recorder.addEventListener("dataavailable", ({ data }) => data.size && parts.push(data));
  const done = new Promise((ready) => {
    recorder.addEventListener("stop", () => {
      for (const track of stream.getTracks()) track.stop();
      ready(new Blob(parts, { type: recorder.mimeType.split(";")[0] }));
    });
  });
  recorder.start(1000);
  const seconds = () => (performance.now() - begun) / 1000;
  return { done, seconds, stop: () => recorder.state === "inactive" || recorder.stop() };
}

// Fills `box`, in which a field for a sound file may stand already.
function offerVoice(box, question, along) {
  const list = make("ul", "plain voice-list");
  const told = spoken("quiet-words");
  const left = spoken("voice-left", "", "timer");
  left.hidden = true;
  const field = box.querySelector(".file") ?? fileField(question);
  field.hidden = canRecord();
  if (!canRecord()) told.textContent = `This browser cannot record here. ${AS_FILE}`;

  let asking = false;
  const begin = button("Record a voice note", async () => {
    if (running) return stopRecording();
    if (asking) return undefined;
    asking = true;
    try {
      await record();
    } catch (fault) {
      told.textContent = `${NO_SOUND[fault.name] ?? fault.message} ${AS_FILE}`;
      field.hidden = false;
    }
    asking = false;
    return undefined;
  });
  begin.hidden = !canRecord();

  async function record() {
    player?.pause();
    const stream = await navigator.mediaDevices.getUserMedia({ audio: true });
    // The person may have gone on, or saved, while the phone asked for leave.
    if (!isSeen(box) || running) return stream.getTracks().forEach((track) => track.stop());
    const recording = recordFrom(stream);
    begin.textContent = "Stop";
    left.hidden = false;
    told.textContent = `Recording. It ends by itself after ${LONGEST_SOUND} seconds.`;
    const toTell = [...TOLD_AT];
    const tick = () => {
      const rest = Math.max(0, Math.ceil(LONGEST_SOUND - recording.seconds()));
      left.textContent = `${rest} s left`;
      if (rest && rest <= toTell[0]) {
        told.textContent = `${rest} seconds left.`;
        while (rest <= toTell[0]) toTell.shift();
      }
      if (rest === 0 || !isSeen(box) || document.hidden) recording.stop();
    };
    tick();
    const clock = setInterval(tick, 250);
    document.addEventListener("visibilitychange", tick);
    recording.done.then(() => {
      clearInterval(clock);
      document.removeEventListener("visibilitychange", tick);
    });
    running = { stop: recording.stop, kept: keep(recording) };
    return running.kept;
  }

  async function keep(recording) {
    const blob = await recording.done;
    try {
      const seconds = Math.max(1, Math.round(Math.min(LONGEST_SOUND, recording.seconds())));
      list.append(row(await along.add("voice", question, blob, { seconds })));
      told.textContent = `Kept on this phone: ${seconds} s.`;
    } finally {
      running = null;
      left.hidden = true;
      begin.textContent = "Record another";
    }
  }

  function row(entry) {
    const line = make("li", "voice-note");
    const length = entry.seconds ? `, ${entry.seconds} s` : "";
    const listen = button("Listen", () => listenTo(listen, entry, along));
    const away = button("Throw away", async () => {
      player?.pause();
      await along.throwAway(entry);
      const undo = button("Undo", async () => {
        await along.bringBack(entry);
        const again = row(entry);
        line.replaceWith(again);
        again.querySelector("button").focus();
      });
      line.replaceChildren(make("span", "", "Thrown away."), undo);
      undo.focus();
    });
    line.append(make("span", "", `Voice note${length}`), listen, away);
    return line;
  }

  field.addEventListener("change", async (event) => {
    event.stopPropagation();
    const [file] = event.target.files;
    if (!file) return;
    if (file.size > LARGEST_SOUND) told.textContent = "This file is larger than 5 MB. Say it in a minute.";
    else {
      list.append(row(await along.add("voice", question, file)));
      told.textContent = "Kept on this phone.";
    }
    event.target.value = "";
  });
  list.append(...along.of("voice", question).map(row));
  box.append(list, left, begin, told, field);
  return box;
}

async function listenTo(listen, entry, along) {
  const mine = player?.entry === entry && !player.paused;
  player?.pause();
  if (mine) return;
  const blob = await along.blobOf(entry);
  const address = URL.createObjectURL(blob);
  player = Object.assign(new Audio(address), { entry });
  const ended = () => {
    listen.textContent = "Listen";
    URL.revokeObjectURL(address);
  };
  for (const name of ["pause", "ended", "error"]) player.addEventListener(name, ended, { once: true });
  listen.textContent = "Stop";
  await player.play().catch(ended);
}

function fileField(question) {
  const input = make("input", "", "", { type: "file", accept: "audio/*", id: `voice-file-${question}` });
  return holding(make("div", "file"), make("label", "", "Sound, at most a minute", { htmlFor: input.id }), input);
}

// On each question where the page has a place for it; `along` says what is kept already.
export function offerVoices(form, along) {
  for (const box of form.querySelectorAll("[data-voice]")) {
    const question = box.closest("[data-question]").dataset.question;
    offerVoice(box, question, along);
    box.open = along.of("voice", question).length > 0;
  }
}

export function voiceOfWholeCheck(along) {
  const box = holding(make("details", "voice"), make("summary", "", "Voice note about the whole check"));
  box.open = along.of("voice", "").length > 0;
  return offerVoice(box, "", along);
}
