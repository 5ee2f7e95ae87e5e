// The job ticket: sentences whose underlined words are the scene's keys. A field opens a slip below
// its sentence; what is typed there stays until it is written in or left, over a reload as well.
import { change, Refused } from "/server.js";
import { capital, complain, complaint, deed, ended, made, raised, say, typeset } from "/words.js";

const order = document.getElementById("order");
const slips = new Map();   // key -> slip
const fields = new Map();  // key -> segment
let design = "";

const draftsName = () => "drafts of " + design;
const drafts = () => JSON.parse(sessionStorage.getItem(draftsName()) || "{}");

function keepDraft(key, typed) {
  const all = drafts();
  if (typed === null) delete all[key];
  else all[key] = typed;
  sessionStorage.setItem(draftsName(), JSON.stringify(all));
}

export async function writeIn(key, value, standing = "", of) {
  return change("edit", { key, value, standing }, of);
}

// ---- slips

function fieldOf(key) {
  return [...order.querySelectorAll(".field"), ...document.querySelectorAll("#job .field")].find(
    (button) => button.dataset.key === key);
}

function closeSlip(key) {
  const slip = slips.get(key);
  slips.delete(key);
  keepDraft(key, null);
  if (slip) slip.remove();
  const field = fieldOf(key);
  if (field) {
    field.setAttribute("aria-expanded", "false");
    field.focus();
  }
}

function madeSlip(key, typed) {
  const segment = fields.get(key);
  const id = "slip-" + key.replace(/[^a-z0-9]/gi, "-");
  const input = made("input", { type: "text", id: id + "-input", value: typed, autocomplete: "off",
                                spellcheck: false, "aria-describedby": id + "-echo" });
  const echo = made("output", { id: id + "-echo", class: "echo" }, segment.both);
  const mistake = made("p", { class: "mistake", role: "alert", id: id + "-mistake" });
  let asked = 0;

  const show = (refused) => {
    mistake.textContent = refused ? complaint(refused) : "";
    input.setAttribute("aria-invalid", String(Boolean(refused)));
    if (refused) input.setAttribute("aria-errormessage", mistake.id);
    else input.removeAttribute("aria-errormessage");
  };
  const attempt = async (value, onlyTry) => {
    const mine = ++asked;
    try {
      const said = await change("edit", { key, value, standing: segment.value, only_try: onlyTry });
      if (mine !== asked) return;
      show(null);
      echo.textContent = said.both || "";
      if (!onlyTry && slips.get(key) === slip) closeSlip(key);  // one opened since stays
    } catch (why) {
      if (mine !== asked) return;
      if (!(why instanceof Refused)) return reportError(why);
      if (!onlyTry || why.status === 422) show(why);
      echo.textContent = "";
    }
  };
  let later = 0;
  input.oninput = () => {
    keepDraft(key, input.value);
    echo.textContent = "";
    clearTimeout(later);
    later = setTimeout(() => attempt(input.value, true), 250);
  };
  const writes = (value) => { clearTimeout(later); complain(""); attempt(value, false); };

  const slip = made("form", { class: "slip", "aria-label": segment.about });
  slip.onsubmit = (event) => { event.preventDefault(); writes(input.value); };
  slip.onkeydown = (event) => {
    if (event.key === "Escape") { event.stopPropagation(); closeSlip(key); }
  };
  slip.append(made("label", { for: input.id }, capital(segment.about)));
  if (segment.choices.length) {
    slip.append(made("div", { class: "stock" }, ...segment.choices.map((choice) =>
      deed(choice.words, () => { input.value = choice.value; writes(choice.value); },
           { "aria-pressed": String(choice.value === segment.value) }))));
  }
  if (segment.free) {
    slip.append(input, echo,
                made("button", { type: "submit", class: "write" }, "Write it in"));
  }
  slip.append(made("button", { type: "button", class: "leave", onclick: () => closeSlip(key) },
                   "Leave it"),
              mistake);
  if (typed !== segment.value) attempt(typed, true);
  return slip;
}

export function openSlip(key, typed = null) {
  const field = fieldOf(key);
  if (!field) return;
  if (!slips.has(key)) slips.set(key, madeSlip(key, typed ?? fields.get(key).value));
  const slip = slips.get(key);
  field.closest("p, h1").after(slip);
  field.setAttribute("aria-expanded", "true");
  if (typed !== null) return;
  const first = slip.querySelector("input") || slip.querySelector("[aria-pressed=true], button");
  first.focus();
  if (first.select) first.select();
  slip.scrollIntoView({ block: "nearest" });
}

// ---- sentences

function fieldButton(segment) {
  const button = made("button", {
    type: "button", class: "field", "data-key": segment.key, "aria-expanded": "false",
    onclick: () => (slips.has(segment.key) ? closeSlip(segment.key) : openSlip(segment.key)) });
  setField(button, segment);
  return button;
}

function setField(button, segment) {
  fields.set(segment.key, segment);
  if (button.textContent !== raised(segment.words)) button.textContent = raised(segment.words);
  button.title = segment.both;
  button.setAttribute("aria-label", segment.words + " (" + segment.about + ")");
}

const shape = (segments) =>
  JSON.stringify(segments.map((segment) => segment.key ? (segment.does || "") + segment.key : segment));

// What can be done with a whole sentence: more of its kind, or none of it.
function sentenceDeed({ does, key, words }, doWith) {
  return [" ", made("span", { class: "on-screen" },
    deed(words, () => doWith(does, key), { "data-does": does + " " + key }), ".")];
}

// No stop or comma begins a line.
function sentence(line, doWith) {
  const parts = [];
  for (const segment of line.segments) {
    const stop = parts.at(-1) instanceof Element && /^[.,;]/.test(segment) ? segment[0] : "";
    if (stop) parts.push(made("span", { class: "kept" }, parts.pop(), stop));
    parts.push(...(segment.does ? sentenceDeed(segment, doWith)
                                : [segment.key ? fieldButton(segment) : segment.slice(stop.length)]));
  }
  return made("p", { "data-topic": line.topic, "data-shape": shape(line.segments) }, ...parts);
}

function update(paragraph, line) {
  const buttons = [...paragraph.querySelectorAll(".field")];
  line.segments.filter((segment) => segment.key && !segment.does).forEach((segment, i) => setField(buttons[i], segment));
}

function showTitle(title) {
  const job = document.getElementById("job");
  const segment = { key: "title", words: title, value: title, both: "", choices: [], free: true,
                    about: "what the panel is called" };
  const button = job.querySelector(".field");
  if (button) setField(button, segment);
  else job.replaceChildren(fieldButton(segment));
  document.title = title + " - Rimeglow";
}

function problemList(problems) {
  return made("div", { class: "problems", role: "alert" },
    made("p", {}, "This scene cannot be used as it is written:"),
    made("ul", {}, ...problems.map((problem) => made("li", {},
      (problem.line ? "Line " + problem.line + (problem.shop ? " of " + problem.shop : "") + ": " : "") +
        complaint(problem)))));
}

// What can be done again, or taken back, where that was done.
function beside(does) {
  const counter = does.startsWith("add ") ? "strike " + does.slice(4) : does.replace(/^strike /, "add ");
  return [does, counter].map((deed) => order.querySelector(`[data-does="${CSS.escape(deed)}"]`)).find(Boolean);
}

export function showTicket(ticket, { chooseFile, doWith }) {
  const isOther = design !== ticket.design;
  if (isOther) {
    for (const slip of slips.values()) slip.remove();
    slips.clear();
    fields.clear();
    order.replaceChildren();
  }
  design = ticket.design;
  document.getElementById("design").textContent = ticket.design;
  showTitle(ticket.title || ticket.design);
  const old = [...order.querySelectorAll("p[data-shape]")];
  const isSame = old.length === ticket.lines.length && !ticket.problems.length &&
    old.every((paragraph, i) => paragraph.dataset.shape === shape(ticket.lines[i].segments));
  if (isSame) {
    old.forEach((paragraph, i) => update(paragraph, ticket.lines[i]));
  } else {
    const held = document.activeElement;
    const { key: focused, does } = held.dataset;
    order.replaceChildren();
    if (ticket.problems.length) order.append(problemList(ticket.problems));
    for (const line of ticket.lines) {
      const paragraph = sentence(line, doWith);
      if (line.topic === "art")
        paragraph.append(" ", made("span", { class: "on-screen" }, deed("Take other art", chooseFile), "."));
      order.append(paragraph);
    }
    if (ticket.problems.length) order.append(made("p", { class: "on-screen" }, deed("Choose its files", chooseFile), "."));
    for (const [key, slip] of slips) {
      const field = fieldOf(key);
      if (field) field.closest("p, h1").after(slip);
    }
    // Whoever types goes on typing.
    if (held.isConnected && held !== document.activeElement) held.focus({ preventScroll: true });
    if (focused && fieldOf(focused)) fieldOf(focused).focus();
    // Whoever added a sentence or struck one out by keyboard stays beside it.
    if (does) (beside(does) || order.querySelector("[data-does]")).focus();
  }
  showLooks(ticket);
  if (isOther) {
    for (const [key, typed] of Object.entries(drafts())) {
      if (fields.has(key)) openSlip(key, typed);
    }
  }
  document.getElementById("caution-words").replaceChildren(
    ...ticket.cautions.map((words) => made("li", {}, words)));
}

function showLooks(ticket) {
  for (const note of order.querySelectorAll(".look")) note.remove();
  const art = order.querySelector("[data-topic=art]");
  if (!art) return;
  const notes = [...(ticket.looks || [])].map((look) => made("p", { class: "look" }, "Mind: " + ended(look)));
  art.after(...notes);
}

const signs = { good: "\u2713", fair: "~", poor: "!", note: "\u00b7" };

export function showAnswers(piece, progress, isKnown) {
  document.getElementById("progress").textContent = capital(progress) + ".";
  const verdicts = document.getElementById("verdicts");
  verdicts.replaceChildren(...piece.answers.map((answer) =>
    made("p", { class: "verdict " + answer.level },
      made("span", { class: "sign", "aria-hidden": "true" }, signs[answer.level]),
      made("span", { class: "unseen" }, answer.level + ": "), typeset(answer.words))));
  const trust = document.getElementById("trust");
  trust.hidden = !piece.warnings.length;
  document.getElementById("warnings").replaceChildren(
    ...piece.warnings.map((words) => made("li", {}, typeset(words))));
  if (isKnown) say("Known: " + progress + ". " + (piece.answers[0] || { words: "" }).words);
}

export function clearAnswers() {
  document.getElementById("verdicts").replaceChildren();
  document.getElementById("trust").hidden = true;
}
