// Forgets what the house's tablet kept of the last guest: what was typed and not sent, and
// which pages were answered.
import { within } from "./outbox.js";

for (const store of ["outbox", "ballots"]) within(store, "readwrite", (s) => s.clear()).catch(() => {});
sessionStorage.clear();
