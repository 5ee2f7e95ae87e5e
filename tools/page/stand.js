// The panel in its base, as one piece or two side by side: its light, its edges to be picked, its
// art to be moved, and a light meter to be pointed at it.
import { difference, isBetween } from "/difference.js";
import { drawShape } from "/outline.js";
import { ask, change } from "/server.js";
import { made, say, typeset } from "/words.js";

const stand = document.getElementById("stand");
const meterWords = document.getElementById("meter");
const caption = document.getElementById("caption");
const names = { top: "Top edge", right: "Right edge", bottom: "Bottom edge", left: "Left edge",
                holes: "Edges of the holes" };
const finishes = { bottom: "", top: "", left: "", right: "", holes: "" };

const view = { viewer: "straight", mode: "eye" };
let places = new Map();  // name -> { above_deg, left_deg, behind }
const isBehind = () => Boolean((places.get(view.viewer) || {}).behind);
const rightward = () => (isBehind() ? -1 : 1);  // along the panel
let pieces = [];  // { design, panel, element, light, photograph, scale }
let doings = { pickEdge() {}, moveArt() {} };

export function begin(what) { doings = what; }
const pickEdge = (edge) => doings.pickEdge("edges." + edge);

// ---- building a piece

function madePiece({ panel, design }, isFirst) {
  const light = made("img", { class: "light", alt: "", draggable: false });
  const face = made("div", { class: "face" }, light);
  const sides = panel.shape ? [] : ["top", "left", "right"].map((edge) => made("div", { class: "side " + edge }));
  const block = made("div", { class: "block" }, face, ...sides);
  const base = made("div", { class: "base" }, design);
  const photograph = made("img", { class: "photograph", alt: "" });
  const element = made("div", { class: "piece" }, block, base, photograph);
  const piece = { panel, element, light, face, block, base, sides, photograph, scale: 1 };
  if (panel.shape) drawShape(piece, isFirst && pickEdge);
  if (isFirst) {
    if (!panel.shape)
      for (const edge of ["top", "right", "bottom", "left"]) face.append(madeEdge(edge));
    piece.art = made("button", { type: "button", class: "art", onkeydown: artKey });
    piece.art.onpointerdown = artGrip;
    piece.point = made("button", { type: "button", class: "point", onkeydown: pointKey });
    face.append(piece.art, piece.point);
    face.onpointermove = (event) => read(piece, placeOf(piece, event));
  }
  return piece;
}

function madeEdge(edge) {
  return made("button", { type: "button", class: "edge " + edge, onclick: () => pickEdge(edge) });
}

export function showFinishes(lines) {
  for (const line of lines) {
    for (const segment of line.segments) {
      const edge = segment.key && !segment.does && segment.key.startsWith("edges.") ? segment.key.slice(6) : "";
      if (edge in finishes) finishes[edge] = segment.words;
    }
  }
  for (const button of stand.querySelectorAll(".edge")) {
    const edge = Object.keys(names).find((name) => button.classList.contains(name));
    button.setAttribute("aria-label", names[edge] + ", " + finishes[edge] + ": change it");
    button.title = names[edge] + ", " + finishes[edge];
  }
}

// ---- laying out, in pixels a millimetre

export function layOut() {
  if (!pieces.length) return;
  const room = stand.getBoundingClientRect();
  const wide = pieces.reduce((sum, piece) => sum + piece.panel.width + 30, 0);
  const high = Math.max(...pieces.map((piece) => piece.panel.height)) + 14;
  const free = room.width - (isBetween.matches && pieces.length > 1 ? difference.offsetWidth : 0);
  const scale = Math.max(0.1, Math.min(free / wide, room.height / high));
  for (const piece of pieces) {
    const { panel } = piece;
    const px = (mm) => (mm * scale).toFixed(2) + "px";
    piece.scale = scale;
    const style = piece.element.style;
    style.setProperty("--width", px(panel.width));
    style.setProperty("--height", px(panel.height));
    style.setProperty("--thickness", px(panel.thickness));
    style.setProperty("--radius", px(panel.corner_radius));
    style.setProperty("--slot", px(panel.slot_depth));
    style.setProperty("--mm", px(1));
    piece.face.classList.toggle("cut", Boolean(panel.cuts));
    for (const [face, cuts] of Object.entries(panel.cuts || {}))
      style.setProperty("--cuts-" + face, cuts.map(px).join(" "));
    if (piece.art) layOutArt(piece);
  }
}

const middleOf = ({ design, panel }) =>
  moved && moved.design === design ? [moved.x, moved.y] : panel.art.centre;

function layOutArt(piece) {
  const { art, height } = piece.panel;
  piece.art.hidden = !art;
  if (!art) return;
  const [x0, y0, x1, y1] = art.box;
  const [x, y] = middleOf(piece);
  const [dx, dy] = [x - art.centre[0], y - art.centre[1]];
  const px = (mm) => (mm * piece.scale).toFixed(2) + "px";
  Object.assign(piece.art.style, { left: px(x0 + dx), top: px(height - y1 - dy),
                                   width: px(x1 - x0), height: px(y1 - y0) });
  piece.art.setAttribute("aria-label", "Art, its middle at " + x.toFixed(1) + " mm, " + y.toFixed(1) +
    " mm. Arrow keys move it by 1 mm, with Shift by 0.1 mm.");
}

addEventListener("resize", layOut);

// `told`: [{ design, panel }]
export function showPieces(told) {
  if (unsent && !told.some(({ design }) => design === unsent.design)) settleArt();
  const isSame = told.length === pieces.length &&
    told.every((piece, i) => piece.design === pieces[i].design &&
      JSON.stringify(piece.panel.shape) === pieces[i].drawnShape);
  if (!isSame) {
    pieces = told.map((piece, i) => Object.assign(madePiece(piece, i === 0), {
      design: piece.design, drawnShape: JSON.stringify(piece.panel.shape) }));
    stand.replaceChildren(...pieces.flatMap((piece, i) =>
      i > 0 ? [difference, piece.element] : [piece.element]));
    caption.textContent = meterWords.textContent = "";
  }
  told.forEach((piece, i) => { pieces[i].panel = piece.panel; });
  stand.classList.toggle("two", pieces.length > 1);
  turn();
  layOut();
}

// ---- moving the art

let moved = null;   // where to, on which design, until the server has answered
let unsent = null;  // the same, until it is asked
let later = 0;

function move(piece, x, y) {
  moved = unsent = { design: piece.design, x, y };
  clearTimeout(later);
  layOutArt(piece);
}

// Writes in what was moved, before anything else is done.
export async function settleArt() {
  clearTimeout(later);
  const to = unsent;
  unsent = null;
  if (!to) return;
  await doings.moveArt(to.x.toFixed(2) + " mm, " + to.y.toFixed(2) + " mm", to.design);
  if (moved === to) moved = null;
  layOut();
}

// A step of so many mm, a tenth of it with Shift, where an arrow key points; none of other keys.
function stepOf(event, mm) {
  const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
  if (!step) return null;
  event.preventDefault();
  const size = event.shiftKey ? 0.1 * mm : mm;
  return [rightward() * size * step[0], size * step[1]];
}

function artKey(event) {
  const step = stepOf(event, 1);
  if (!step) return;
  const [x, y] = middleOf(pieces[0]);
  move(pieces[0], x + step[0], y + step[1]);
  later = setTimeout(settleArt, 300);
}

function artGrip(event) {
  if (event.button !== 0) return;
  const piece = pieces[0];
  const [x, y] = middleOf(piece);
  const from = [event.clientX, event.clientY];
  let isMoved = false;
  piece.art.setPointerCapture(event.pointerId);
  piece.art.onpointermove = (to) => {
    const dx = rightward() * (to.clientX - from[0]) / piece.scale;
    const dy = -(to.clientY - from[1]) / piece.scale;
    isMoved = isMoved || Math.hypot(dx, dy) > 0.7;
    if (isMoved) move(piece, x + dx, y + dy);
  };
  piece.art.onpointerup = piece.art.onpointercancel = () => {
    piece.art.onpointermove = piece.art.onpointerup = piece.art.onpointercancel = null;
    settleArt();
  };
}

// ---- the light meter

let asked = 0;
let isAsking = false;

function placeOf(piece, event) {
  const box = piece.face.getBoundingClientRect();
  const right = (event.clientX - box.left) / box.width;
  return { x: (isBehind() ? 1 - right : right) * piece.panel.width,
           y: (1 - (event.clientY - box.top) / box.height) * piece.panel.height };
}

async function read(piece, place) {
  const mine = ++asked;
  piece.at = place;
  placePoint(piece);
  if (isAsking) return;
  isAsking = true;
  try {
    const answer = await ask("meter?piece=0&viewer=" + encodeURIComponent(view.viewer) + "&x=" + place.x.toFixed(2) +
                             "&y=" + place.y.toFixed(2));
    const { words } = await answer.json();
    if (piece === pieces[0]) meterWords.textContent = typeset(words);
  } catch {
    meterWords.textContent = "";
  }
  isAsking = false;
  if (mine !== asked) read(piece, piece.at);
}

function placePoint({ point, at, scale, panel }) {
  point.style.left = (at.x * scale).toFixed(1) + "px";
  point.style.top = ((panel.height - at.y) * scale).toFixed(1) + "px";
}

function labelPoint(piece) {
  const { width, height } = piece.panel;
  piece.at = piece.at || { x: width / 2, y: height / 2 };
  placePoint(piece);
  piece.point.setAttribute("aria-label", "Light meter. Arrow keys point it, 5 mm a step, with Shift 0.5 mm.");
  piece.point.setAttribute("aria-describedby", "meter");
}

function pointKey(event) {
  const step = stepOf(event, 5);
  if (!step) return;
  const piece = pieces[0];
  const within = (value, most) => Math.min(Math.max(value, 0), most);
  read(piece, { x: within(piece.at.x + step[0], piece.panel.width),
                y: within(piece.at.y + step[1], piece.panel.height) });
}

// ---- light

export function standFrom(viewers) {
  places = new Map(viewers.map((viewer) => [viewer.name, viewer]));
}

function turn() {
  const { above_deg: above, left_deg: left, behind } = places.get(view.viewer) ||
    { above_deg: 0, left_deg: 0, behind: false };
  stand.dataset.viewer = view.viewer;
  stand.style.setProperty("--turn", behind ? `rotateX(${-above}deg) rotateY(${180 - left}deg)`
                                           : `rotateX(${-above}deg) rotateY(${left}deg)`);
  for (const piece of pieces) if (piece.point) labelPoint(piece);
}

// The share of white at which an edge is drawn, from its luminance.
function showEdges(piece, told, white) {
  for (const side of piece.sides) {
    const seen = told.edges.find((edge) => side.classList.contains(edge.edge) && edge.viewer === view.viewer);
    const share = seen && white > 0 ? Math.min(1, seen.cd_m2 / white) : 0;
    side.style.setProperty("--light", share.toFixed(3));
    if (!piece.panel.shape) side.title = seen ? typeset(seen.edge + " edge: " + seen.words) : "";
  }
}

async function fetchLight(piece, i, round) {
  const { viewer, mode } = view;
  const answer = await ask("picture?piece=" + i + "&viewer=" + encodeURIComponent(viewer) + "&mode=" + mode);
  const told = answer.headers.get("X-Rimeglow-Caption") || "";
  const old = piece.light.src;
  piece.light.src = URL.createObjectURL(await answer.blob());
  await piece.light.decode().catch(() => {});
  if (old) URL.revokeObjectURL(old);
  piece.light.dataset.round = round.round;
  piece.light.alt = round.pieces[i].title + ": " + (round.pieces[i].answers[1] || { words: "" }).words;
  if (mode === "photograph" || mode !== view.mode || piece !== pieces[i]) return;
  caption.textContent =
    typeset((mode === "eye" ? "As the eye sees it; " : "Measured, in false colours ") + told + ".");
}

let isFetching = false;
let newest = null;

export async function showRound(round) {
  newest = round;
  last = round;
  showPhotographs();
  if (isFetching || !round) return;
  isFetching = true;
  while (newest) {
    const current = newest;
    newest = null;
    try {
      for (let i = 0; i < pieces.length && i < current.pieces.length; ++i) {
        await fetchLight(pieces[i], i, current);
        showEdges(pieces[i], current.pieces[i], (current.white || {})[view.viewer] || 0);
      }
      if (current === last) stand.classList.remove("old");
    } catch { /* other pieces stand here by now; their own round comes */ }
  }
  isFetching = false;
  stand.dataset.round = round.round;
}

// ---- photographs: from half a metre, with base and table, once the light is known

let last = null;
let walked = [];

async function showPhotographs() {
  const isOn = view.mode === "photograph";
  stand.classList.toggle("photographed", isOn);
  if (!isOn) return;
  const { viewer } = view;
  for (const { photograph } of pieces)
    if (photograph.dataset.of !== viewer || !walked.includes(viewer)) photograph.removeAttribute("src");
  if (!walked.includes(viewer)) {
    caption.textContent = "The camera comes once the light is known; a few seconds.";
    if (last && last.phase === "known") await change("walk", { viewer }).catch(() => {});
    return;
  }
  try {
    for (const [i, piece] of pieces.entries()) {
      const answer = await ask("photograph?piece=" + i + "&viewer=" + encodeURIComponent(viewer));
      const { photograph } = piece;
      const blob = await answer.blob();
      if (view.mode !== "photograph" || view.viewer !== viewer || pieces[i] !== piece) return;
      const old = photograph.src;
      photograph.src = URL.createObjectURL(blob);
      photograph.dataset.of = viewer;
      photograph.alt = piece.light.alt;
      if (old) URL.revokeObjectURL(old);
      caption.textContent = typeset("Photographed " + answer.headers.get("X-Rimeglow-Caption") + ".");
    }
  } catch { /* other pieces stand here by now */ }
}

export function showWalked(viewers) {
  walked = viewers;
  showPhotographs();
}

export function forgetLight() {
  last = null;
  stand.classList.add("old");
  showWalked([]);
}

const legend = document.getElementById("legend");

async function showLegend() {
  legend.hidden = view.mode !== "measured";
  if (legend.hidden || legend.src) return;
  legend.src = URL.createObjectURL(await (await ask("false-colours")).blob());
  legend.alt = "The false colours, dark for little light, bright for much";
}

export function look(other, round) {
  Object.assign(view, other);
  showLegend();
  stand.classList.toggle("measured", view.mode === "measured");
  turn();
  showRound(round);
  say(document.querySelector("#viewers [aria-checked=true]").textContent);
}
