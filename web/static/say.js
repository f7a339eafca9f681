// What the scripts of kitchen's and floor's pages say comes with the page, in the language of
// whoever reads it.
import { complete } from "./acts.js";

const words = JSON.parse(document.getElementById("words").textContent);

/** What the page says by a name, with values in the places of theirs. */
export const say = (name, values = {}) => complete(words[name], values);
