// Puts the page together: events in, words and light out.
import { showDifference, showWhere } from "/difference.js";
import { ask, change, listenAlways, Refused, save } from "/server.js";
import { begin, forgetLight, layOut, look, settleArt, showFinishes, showPieces, showRound, showWalked, standFrom } from "/stand.js";
import { clearAnswers, openSlip, showAnswers, showTicket, writeIn } from "/ticket.js";
import { choices, complain, complaint, deed, made, say, typeset } from "/words.js";

const by = (id) => document.getElementById(id);
let ticket = null;
let round = null;
let compared = null;
let taken = "";  // the names of files that are on their way to the server

// ---- what is told

function heard(kind, data) {
  if (kind === "ticket") {
    const held = ["shelf", "answers", "deeds"].find((id) => by(id).contains(document.activeElement));
    const isPredictedAnew = ticket && ticket.design === data.design && !data.problems.length;
    ticket = data;
    round = null;
    showTicket(ticket, { chooseFile, doWith });
    showViewers();
    showDeeds();
    showEven(null);
    showCompared(null);
    forgetLight();
    showShelf();
    for (const found of ["verdicts", "trust"]) by(found).classList.add("old");
    if (!isPredictedAnew) clearAnswers();
    by("progress").textContent = ticket.problems.length
      ? "Not known until the ticket is put right." : "Not yet known: the light is on its way.";
    showWaiting();
    if (!isPredictedAnew || !ticket.beside) {
      showPieces(ticket.panel ? [{ design: ticket.design, panel: ticket.panel }] : []);
      showFinishes(ticket.lines);
    }
    // Whoever works by keyboard stays near what they did, though that is no more.
    if (held && document.activeElement === document.body)
      (by(held).querySelector("[aria-current=true]") || by(held)).focus({ preventScroll: true });
  }
  if (kind === "even") showEven(data);
  if (kind === "compared") showCompared(data);
  if (kind === "walked") showWalked(data.viewers);
  if (kind === "fault") complain(complaint({ words: data.words, mend: "" }));
  if (kind === "round" && ticket) {
    round = data;
    showWaiting();
    for (const found of ["verdicts", "trust"]) by(found).classList.remove("old");
    showPieces(round.pieces);
    showFinishes(ticket.lines);
    showAnswers(round.pieces[0], round.progress, round.phase === "known");
    if (!compared) showDifference(round.difference || "");
    showRound(round);
    if (round.phase === "known") showShelf();
    for (const button of by("deed-words").querySelectorAll(".needs-known"))
      button.disabled = round.phase !== "known";
  }
}

function showWaiting() {
  const words = taken ? "Reading " + taken + "." : round ? "" : ticket && ticket.problems.length
    ? "There is no light to show until the ticket is put right." : "The light is on its way.";
  by("waiting").textContent = words;
  by("waiting").hidden = !words;
}

// The places that every panel is looked at from, in a sentence; those of the scene behind them.
const usual = { straight: "Seen straight on", seated: "from a seat", left: "from the left",
                behind: "from behind" };

function showViewers() {
  const viewers = ticket.viewers || [];
  const names = viewers.map((viewer) => viewer.name);
  standFrom(viewers);
  if (!names.length || String(names) === by("viewers").dataset.names) return;
  const shown = by("viewers").querySelector("[aria-checked=true]");
  const chosen = shown && names.includes(shown.dataset.value) ? shown.dataset.value : "straight";
  by("viewers").dataset.names = names;
  choices(by("viewers"), viewers.map(({ name, words }) => [name, usual[name] || words]), chosen,
          (viewer) => look({ viewer }, round));
  if (shown && shown.dataset.value !== chosen) look({ viewer: chosen }, round);
}

// ---- what can be done

async function does(what, words) {
  await settleArt();
  complain("");
  try {
    await what();
    if (words) say(words);
  } catch (why) {
    if (why instanceof Refused) complain(complaint(why));
    else reportError(why);
  }
}

const doWith = (deed, key) =>
  does(() => change(deed, { key }), deed === "add" ? "Added." : "Struck out.");
const chooseFile = () => by("file").click();

// One or several files, as one piece: their names and sizes on a line, behind it their bytes.
async function take(given) {
  const files = [...given];
  if (!files.length) return;
  if (new Blob(files).size > 25e6) return complain("What is dropped at once must stay below 25 MB.");
  const list = JSON.stringify(files.map(({ name, size }) => [name, size]));
  taken = files.map(({ name }) => name).join(", ");
  showWaiting();
  await does(async () => say((await change("files", new Blob([list, "\n", ...await bytesOf(files)]))).words));
  taken = "";
  showWaiting();
}

const bytesOf = (files) => Promise.all(files.map((file) => file.arrayBuffer().catch(() => {
  throw new Refused(422, { problem: "\"" + file.name + "\" cannot be read", mend: "if it is a folder, drop the files in it" });
})));

const undo = () => does(() => change("undo", {}), "Taken back.");
const redo = () => does(() => change("redo", {}), "Done again.");

function sentence(...parts) {
  return made("p", {}, ...parts);
}

function showDeeds() {
  const others = ticket.shelf.map((kept) => kept.name).filter((name) => name !== ticket.design && name !== ticket.beside);
  const known = { disabled: true, class: "deed needs-known" };
  const parts = [sentence(
    deed("Take back", undo, { disabled: !ticket.can_undo, id: "undo" }), " the last change, or ",
    deed("do it again", redo, { disabled: !ticket.can_redo, id: "redo" }), ".")];
  if (ticket.beside) {
    parts.push(sentence("On the right stands " + ticket.beside + ". ",
      deed("Put it away", () => does(() => change("beside", { design: "" }), "Put away.")), ", or ",
      deed("change places", () => does(async () => {
        const [mine, other] = [ticket.design, ticket.beside];
        await change("select", { design: other });
        await change("beside", { design: mine }, other);
      }, "They have changed places.")), "."));
  } else {
    parts.push(sentence("Stand ",
      deed("a copy", () => does(() => change("copy", {}), "A copy stands beside it.")),
      " beside it, to see what the next change does",
      ...(others.length ? [", or ", ...others.flatMap((name, i) => [
        i ? (i + 1 < others.length ? ", " : " or ") : "",
        deed(name, () => does(() => change("beside", { design: name }), name + " stands beside it."))])]
        : []), "."));
  }
  if (ticket.can_even) {
    parts.push(sentence(deed("Even it out", () => does(() => change("even", {}),
      "The plan is being made."), known), ": plan how densely each place is engraved, so that all of it glows alike."));
  }
  parts.push(shelfSentence());
  parts.push(sentence("Take along ", deed("the scene", () => does(() => save("scene"))), ", ",
    deed("the report", () => does(() => save("report.html")), known), ", ",
    deed("the picture", () => does(() => save("glow.png")), known), " or ",
    deed("the numbers", () => does(() => save("numbers.json")), known), "; or ",
    deed("print this ticket", () => print()), "."));
  const held = document.activeElement.closest("#deed-words") && document.activeElement.textContent;
  by("deed-words").replaceChildren(...parts);
  // Whoever works by keyboard stays where they were.
  for (const button of by("deed-words").querySelectorAll("button"))
    if (held && button.textContent === held) button.focus();
}

// ---- what would differ

// Of two pieces between them; of one alone, what the likeliest step of its finishing would do.
function showCompared(told) {
  compared = told;
  showDifference(told && !told.key ? told.words : "");
  showWhere(told && told.pictured, layOut);
  by("step").replaceChildren(...(told && told.key ? [typeset(told.words), " ",
    deed("Write that on the ticket", () => does(() => writeIn(told.key, told.value), "Written in.")), "."] : []));
  if (told) say(told.words);
}

// ---- off the shelf: asked once, kept until the program ends

function shelfSentence() {
  const words = made("p", { id: "off-shelf" });
  const makeSure = () => {
    const keep = deed("keep it", () => { offer(); words.querySelector("button").focus(); });
    words.replaceChildren("Shall " + ticket.design + " leave the shelf? ",
      deed("Yes, take it off", () => does(() => change("take-off", { design: ticket.design }),
        ticket.design + " is off the shelf.")), ", or ", keep, ".");
    keep.focus();
  };
  const offer = () => words.replaceChildren(
    ...(ticket.taken_off ? ["Off the shelf is " + ticket.taken_off + ", until the program ends; ",
      deed("put it back", () => does(() => change("put-back", {}), "Put back.")), ". "] : []),
    ...(ticket.shelf.length > 1 ? [deed("Take this design off the shelf", makeSure), "."] : []));
  offer();
  return words;
}

// ---- even glow

const evenFile = (name) => deed(name, () => does(() => save("even-file?name=" + encodeURIComponent(name))));

async function showPlan(image) {
  const answer = await ask("even-file?name=density.png").catch(() => null);
  if (!answer) return;
  image.src = URL.createObjectURL(await answer.blob());
  image.onload = () => URL.revokeObjectURL(image.src);
}

function showEven(told) {
  if (!told) return by("even").replaceChildren();
  if (told.doing) {
    return by("even").replaceChildren(sentence("Evening it out: " + told.doing + ". Any change ends it."));
  }
  const plan = made("img", { class: "plan", alt: "The plan: white where it is engraved in full, dark where thinly" });
  const engravings = told.files.filter((name) => /^engraving.*\.png$/.test(name));
  by("even").replaceChildren(plan, sentence(typeset(told.verdict)),
    sentence("For the laser: ", ...engravings.flatMap((name) => [evenFile(name), ", "]),
      evenFile("panel.svg"), ". For the bench: ", evenFile("work-note.html"), ". What it will do: ",
      evenFile("report.html"), ". ",
      deed("Stand the evened panel beside this one", () =>
        does(() => change("plan", {}), "The evened panel stands beside it.")), "."));
  showPlan(plan);
  say("Evened out. " + told.verdict);
}

// ---- the shelf

async function showSmallPicture(image, design) {
  const answer = await ask("small-picture?design=" + encodeURIComponent(design)).catch(() => null);
  if (!answer) return;
  const old = image.src;
  image.src = URL.createObjectURL(await answer.blob());
  if (old) URL.revokeObjectURL(old);
}

function kept({ name }) {
  return made("button", { type: "button", "data-design": name,
    onclick: () => does(() => change("select", { design: name }, ""), name + " is on the bench.") },
    made("img", { alt: "" }), made("span", {}, name));
}

function showShelf() {
  const shelf = by("kept");
  const shown = [...shelf.querySelectorAll("[data-design]")].map((button) => button.dataset.design);
  if (String(shown) !== String(ticket.shelf.map((design) => design.name))) {
    shelf.replaceChildren(...ticket.shelf.map(kept));
  }
  for (const { name, pictured } of ticket.shelf) {
    const button = shelf.querySelector(`[data-design="${name}"]`);
    const image = button.querySelector("img");
    const isHere = round && round.pieces.some((piece) => piece.design === name);
    if (name === ticket.design && button.getAttribute("aria-current") !== "true")
      shelf.scrollLeft = button.offsetLeft - shelf.clientWidth / 2;
    button.setAttribute("aria-current", String(name === ticket.design));
    if (round ? isHere : pictured && !image.src) showSmallPicture(image, name);
  }
}

// ---- from outside

by("open").onclick = chooseFile;
by("put-away").onclick = () => complain("");
by("file").onchange = (event) => {
  take(event.target.files);
  event.target.value = "";
};
addEventListener("dragover", (event) => {
  event.preventDefault();
  document.body.classList.add("dropping");
});
addEventListener("dragleave", (event) => {
  if (!event.relatedTarget) document.body.classList.remove("dropping");
});
addEventListener("drop", (event) => {
  event.preventDefault();
  document.body.classList.remove("dropping");
  if (event.dataTransfer.files.length) take(event.dataTransfer.files);
  else complain("What was dropped is no file. Save it as one, and drop that.");
});
addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.target.tagName === "INPUT") return;
  const key = event.key.toLowerCase();
  if (key === "z" || key === "y") event.preventDefault();
  if (key === "y" || (key === "z" && event.shiftKey)) redo();
  else if (key === "z") undo();
});
addEventListener("beforeprint", () => { by("trust").open = true; });
addEventListener("hashchange", () => location.reload());
addEventListener("error", ({ message }) => {
  complain("This page has a fault of its own (" + message + "). Load it again; every change is saved.");
});

function gone(why) {
  const isStranger = why instanceof Refused && why.status === 403;
  by("gone").hidden = false;
  by("gone").textContent = isStranger
    ? "Rimeglow was started anew. Open the address that it printed; every design is saved."
    : "Rimeglow has stopped. Every change up to here is saved. Start rimeglow serve again and open " +
      "the address that it prints.";
  document.body.classList.add("alone");
}

function back() {
  by("gone").hidden = true;
  document.body.classList.remove("alone");
}

choices(by("modes"), [["eye", "as the eye sees it"], ["measured", "measured"],
                      ["photograph", "photographed in its base"]], "eye",
        (mode) => look({ mode }, round));
begin({ pickEdge: (key) => openSlip(key),
        moveArt: (place, design) => does(() => writeIn("art.centre", place, "0 mm, 0 mm", design)) });
listenAlways(heard, gone, back);
