// Outlines other than the rectangle, drawn as they are.

function drawn(tag, properties) {
  const element = document.createElementNS("http://www.w3.org/2000/svg", tag);
  for (const [name, value] of Object.entries(properties)) element.setAttribute(name, value);
  return element;
}

let clips = 0;

// The outline as shares of whatever box it is put on, which on paper is another than on the screen.
function addClip(sheet, { width, height, shape }) {
  const clip = drawn("clipPath", { id: "outline-" + (++clips), clipPathUnits: "objectBoundingBox" });
  clip.append(drawn("path", { d: shape.path, "clip-rule": "evenodd",
                              transform: "scale(" + 1 / width + " " + 1 / height + ")" }));
  sheet.append(clip);
  return clip.id;
}

// The sheet, and on it each edge as a line that is as bright as the edge, below a broader one to be
// picked where `pickEdge` is told of it.
export function drawShape(piece, pickEdge) {
  const { width, height, shape } = piece.panel;
  const viewBox = "0 0 " + width + " " + height;
  const sheet = drawn("svg", { viewBox, class: "sheet", "aria-hidden": "true" });
  sheet.append(drawn("path", { d: shape.path, class: "acrylic" }));
  piece.face.classList.add("shaped");
  piece.light.style.clipPath = "url(#" + addClip(sheet, piece.panel) + ")";
  piece.face.prepend(sheet);
  for (const [edge, d] of Object.entries(shape.edges)) {
    const rim = drawn("path", { d, class: "rim " + edge });
    sheet.append(rim);
    piece.sides.push(rim);
  }
  if (!pickEdge) return;
  const edges = drawn("svg", { viewBox, class: "edges" });
  for (const [edge, d] of Object.entries(shape.edges)) {
    const pick = drawn("path", { d, class: "edge " + edge, role: "button", tabindex: "0" });
    pick.onclick = () => pickEdge(edge);
    pick.onkeydown = (event) => {
      if (event.key !== "Enter" && event.key !== " ") return;
      event.preventDefault();
      pick.onclick();
    };
    edges.append(pick);
  }
  piece.face.append(edges);
}
