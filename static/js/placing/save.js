// Brings the answer to the server: one request at a time, the latest answer wins, and whatever is
// not there yet is kept on the device and tried again.

import { sameAnswer } from "./state.js";

const FIRST_WAIT_MS = 1000;
const LONGEST_WAIT_MS = 30000;

// send(answer, version): resolves to {kind: "stored" | "conflict" | "handed-in" | "refused" | "offline" | "failed" | "signed-out", ...}
// tell(kind, reply): where the answer stands now
export function createSaver({ answer, version, draft, send, tell }) {
  let record = { answer, version, sent: [], saved: true };
  let pending = false;
  let kept = true;
  let outcome = "saved";
  let blocked = false;
  let running = null;
  let wait = 0;
  let timer = 0;

  function change(next) {
    record = { ...record, answer: next, saved: false };
    pending = true;
    kept = draft.keep(record);
    return attempt();
  }

  // Goes on from a record of an earlier visit.
  function restore(earlier, fresh) {
    record = { ...earlier, version: fresh };
    return change(earlier.answer);
  }

  function attempt() {
    clearTimeout(timer);
    running ??= run().finally(() => (running = null));
    return running;
  }

  async function run() {
    while (pending && !blocked) {
      const tried = record.answer;
      record.sent = [...record.sent.filter((other) => !sameAnswer(other, tried)), tried];
      draft.keep(record);
      tell("saving");
      if (!settle(tried, await send(tried, record.version))) return;
    }
  }

  // True if there is more to do at once.
  function settle(tried, reply) {
    const unsent = reply.kind === "offline" || reply.kind === "failed";
    outcome = unsent && !kept ? "unkept" : reply.kind;
    if (reply.kind === "stored") return stored(tried, reply);
    const own = reply.kind === "conflict" && record.sent.some((other) => sameAnswer(other, reply.answer));
    if (own) {
      // What the server has came from here; only its reply was lost.
      record.version = reply.version;
      return true;
    }
    // A site that is down or too busy is worth another try, as a lost connection is.
    if (unsent || reply.kind === "signed-out") later();
    else if (reply.kind !== "refused") blocked = true;
    if (reply.kind === "handed-in" || reply.invalid) {
      // There is nothing left that another try could save.
      pending = false;
      draft.drop();
    }
    tell(outcome, reply);
    return false;
  }

  function stored(tried, reply) {
    wait = 0;
    pending = !sameAnswer(record.answer, tried);
    record = { ...record, version: reply.version, sent: [], saved: !pending };
    draft.keep(record);
    if (!pending) tell("saved", reply);
    return pending;
  }

  function later() {
    wait = Math.min(Math.max(wait * 2, FIRST_WAIT_MS), LONGEST_WAIT_MS);
    timer = setTimeout(attempt, wait * (0.7 + 0.6 * Math.random()));
  }

  return {
    change,
    restore,
    retry: () => pending && attempt(),
    // Resolves to "saved" once the server has everything, or to what is in the way.
    flush: async () => (await attempt(), pending ? outcome : "saved"),
    isPending: () => pending,
    // Sends nothing more; resolves when what was on its way is through.
    pause: async () => ((blocked = true), await running),
    // Goes on, over what another device saved if its version is given.
    resume(over = record.version) {
      record.version = over;
      blocked = false;
      return attempt();
    },
  };
}
