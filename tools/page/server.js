// Talks to the server of this page. The token stands behind the # of the address, where no browser
// sends it anywhere by itself.

// The design whose ticket is shown: what is asked of it is done to no other, whoever opens one
// meanwhile.
let shown = "";

const headers = () => ({ "X-Rimeglow-Token": location.hash.slice(1) });

// A refusal in the server's own words.
export class Refused extends Error {
  constructor(status, said) {
    super(said.problem || "the server refused");
    this.status = status;
    this.words = this.message;
    this.mend = said.mend || "";
    this.key = said.key || "";
  }
}

const unanswered = () => { throw new Refused(0, { problem: "the server does not answer" }); };

// The server's answer. Throws Refused.
export async function ask(path, settings) {
  const answer = await fetch("/api/" + path, { headers: headers(), ...settings }).catch(unanswered);
  if (answer.ok) return answer;
  throw new Refused(answer.status, await answer.json().catch(() => ({})));
}

export async function change(path, body, of = shown) {
  const sent = body instanceof Blob ? body : JSON.stringify(body);
  const answer = await ask(path + "?of=" + encodeURIComponent(of), { method: "POST", body: sent });
  return answer.json().catch(unanswered);
}

// Calls heard(kind, data) for every event until the stream ends, then throws.
async function listen(heard) {
  const answer = await ask("events");
  const reader = answer.body.pipeThrough(new TextDecoderStream()).getReader();
  let text = "";
  for (;;) {
    const { value, done } = await reader.read();
    if (done) throw new Error("the stream has ended");
    text += value;
    for (let end = text.indexOf("\n\n"); end >= 0; end = text.indexOf("\n\n")) {
      const event = text.slice(0, end);
      text = text.slice(end + 2);
      const parts = /^event: (\S+)\ndata: (.*)$/s.exec(event);
      if (parts) heard(parts[1], JSON.parse(parts[2]));
    }
  }
}

// Listens for ever; gone(why) is told when the server is not there, back() when it is again.
export async function listenAlways(heard, gone, back) {
  for (;;) {
    let isBack = false;
    try {
      await listen((kind, data) => {
        if (kind === "ticket") shown = data.design;
        if (!isBack) back();
        isBack = true;
        try {
          heard(kind, data);
        } catch (why) {
          reportError(why);  // the page's own fault, not the server's
        }
      });
    } catch (why) {
      gone(why);
    }
    await new Promise((resume) => setTimeout(resume, 1000));
  }
}

export async function save(path) {
  const answer = await ask(path);
  const name = /filename="([^"]*)"/.exec(answer.headers.get("Content-Disposition") || "");
  const link = document.createElement("a");
  link.href = URL.createObjectURL(await answer.blob());
  link.download = name ? name[1] : path;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10000);
}
