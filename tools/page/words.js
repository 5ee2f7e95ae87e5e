// Small pieces of the page. Whatever comes from a design is only ever text.

export function made(tag, properties = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(properties)) {
    if (name === "class") element.className = value;
    else if (name.startsWith("aria-") || name === "role" || name === "for")
      element.setAttribute(name, value);
    else if (name.startsWith("data-")) element.dataset[name.slice(5)] = value;
    else element[name] = value;
  }
  element.append(...children);
  return element;
}

// Words of a sentence that do something.
export function deed(words, does, properties = {}) {
  return made("button", { type: "button", class: "deed", onclick: does, ...properties }, words);
}

// Units as people print them; a scene's own text keeps its plain letters.
export const raised = (words) => words.replaceAll("cd/m2", "cd/m\u00b2").replaceAll("mm2", "mm\u00b2");

// And no line ends between a number and its unit.
export const typeset = (words) => raised(words).replaceAll(/(\d) (%|cd|mm|K\b|lm\b)/g, "$1\u00a0$2");

export const capital = (words) => words.charAt(0).toUpperCase() + words.slice(1);
export const ended = (words) => (!words || /[.?!]$/.test(words) ? words : words + ".");

// What is wrong and how to mend it, with what it is said of: a key, as the command line has it, or
// the scene as a whole.
export function complaint({ key, words, mend }) {
  const isOfScene = !key && words.startsWith("is ");
  const what = key ? key + ": " + words : isOfScene ? "The scene " + words : capital(words);
  return (ended(what) + " " + ended(capital(mend))).trim();
}

// Stands below everything until something else is done.
export function complain(words) {
  document.getElementById("trouble").textContent = words;
}

export function say(words) {
  document.getElementById("spoken").textContent = words;
}

// Radio buttons as words in a line; arrow keys move between them.
export function choices(group, options, chosen, choose) {
  const set = (value) => {
    for (const button of group.children) {
      const isIt = button.dataset.value === value;
      button.setAttribute("aria-checked", String(isIt));
      button.tabIndex = isIt ? 0 : -1;
    }
  };
  const move = (event) => {
    const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
    if (!step) return;
    event.preventDefault();
    const all = [...group.children];
    const next = all[(all.indexOf(event.target) + step + all.length) % all.length];
    next.focus();
    next.click();
  };
  group.replaceChildren(...options.map(([value, words]) =>
    made("button", { type: "button", role: "radio", "data-value": value, onkeydown: move,
                     onclick: () => { set(value); choose(value); } }, words)));
  set(chosen);
}
