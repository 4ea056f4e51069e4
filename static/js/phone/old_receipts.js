// Receipts go after some months: the server has what they tell of. One that something on this phone
// still leans on stays: a photograph that waits, a check begun, what was pressed out of service.

import { write } from "./store.js";

const KEPT_FOR = 90 * 24 * 3600 * 1000;

export const clearOldReceipts = (now = Date.now()) =>
  write(["photographs", "drafts", "facts", "receipts"], ({ photographs, drafts, facts, receipts }) => {
    const [needed, until] = [new Set(), new Date(now - KEPT_FOR).toISOString()];
    photographs.getAllKeys().onsuccess = ({ target }) => target.result.forEach(([check]) => needed.add(check));
    drafts.getAllKeys().onsuccess = ({ target }) => target.result.forEach((id) => needed.add(id));
    facts.getAll().onsuccess = ({ target }) => target.result.forEach(({ name, value }) => name.startsWith("out:") && needed.add(value.id));
    receipts.getAll().onsuccess = ({ target }) => {
      const old = target.result.filter(({ id, check, at }) => at < until && !needed.has(id) && !needed.has(check));
      for (const { id } of old) receipts.delete(id);
    };
  });
