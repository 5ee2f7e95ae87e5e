// What two pieces differ in: words, between them where there is room, and a picture of where.
import { ask } from "/server.js";
import { made, typeset } from "/words.js";

export const difference = made("p", { id: "difference", role: "status" });
export const isBetween = matchMedia("(min-width: 64rem) and (min-height: 30rem)");

export function showDifference(words) {
  difference.textContent = typeset(words);
}

const figure = document.getElementById("where");
const room = figure.parentElement;
const [picture, caption] = figure.children;
let shown = null;

function hang(isThere, done) {
  figure.hidden = !isThere;
  room.classList.toggle("differing", isThere);
  done();
}

// `words` are what is in the picture; none takes it away. Calls `done` when the room has changed.
export async function showWhere(words, done) {
  const mine = shown = Symbol(words);
  URL.revokeObjectURL(picture.src);
  hang(false, done);
  if (!words) return;
  try {
    const answer = await ask("difference");
    const blob = await answer.blob();
    if (mine !== shown) return;
    picture.src = URL.createObjectURL(blob);
    picture.alt = typeset(words);
    await picture.decode();
    if (mine !== shown) return;
    caption.textContent = typeset(answer.headers.get("X-Rimeglow-Caption"));
    hang(true, done);
  } catch { /* other pieces stand here by now */ }
}
