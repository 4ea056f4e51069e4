// What goes along with a check besides its photographs: voice notes and a drawn signature. Kept
// beside the photographs and sent the same way. What was thrown away goes when the check is saved.

import { pictureOf } from "./drawn.js";
import { read, sha256, write } from "./store.js";
import { stopRecording } from "./voice.js";

const AFTER_PHOTOGRAPHS = 1000;

export function createAlong(draft, { venue, person }, keep) {
  draft.along ??= [];
  draft.strokes ??= [];
  const of = (what, question) => draft.along.filter((each) => each.what === what && each.question === question);

  async function add(what, question, blob, more = {}) {
    const digest = await sha256(blob);
    const row = { check: draft.id, sha256: digest, what, question, blob, venue, person, place: AFTER_PHOTOGRAPHS + draft.along.length };
    await write(["photographs"], ({ photographs }) => photographs.put(row));
    const entry = { what, question, sha256: digest, ...more };
    draft.along.push(entry);
    await keep();
    return entry;
  }

  function throwAway(entry) {
    draft.along = draft.along.filter((each) => each !== entry);
    return keep();
  }

  function bringBack(entry) {
    draft.along.push(entry);
    return keep();
  }

  // Before the check is frozen: nothing is being spoken, the drawing is a picture, the rest is gone.
  async function settled() {
    await stopRecording();
    draft.along = draft.along.filter(({ what }) => what !== "drawn");
    if (draft.strokes.length) await add("drawn", "", await pictureOf(draft.strokes));
    const named = new Set(draft.along.map(({ sha256: digest }) => digest));
    await write(["photographs"], ({ photographs }) => {
      const asked = photographs.getAll(IDBKeyRange.bound([draft.id], [draft.id, []]));
      asked.onsuccess = () => {
        const gone = asked.result.filter(({ what, sha256: digest }) => what && !named.has(digest));
        for (const each of gone) photographs.delete([draft.id, each.sha256]);
      };
    });
    return draft.along;
  }

  return {
    of,
    add,
    throwAway,
    bringBack,
    settled,
    blobOf: async ({ sha256: digest }) => (await read("photographs", [draft.id, digest]))?.blob,
    strokes: () => draft.strokes,
    keepStrokes(strokes) {
      draft.strokes = strokes;
      return keep();
    },
  };
}
