// What is written on a card, tapped or photographed without a signal waits on the open page, and goes once the signal
// is back, from there or from the next card that is opened. Until then it lies in the browser's own store, so that a reload loses nothing; what has gone is deleted there.
// A key makes a second arrival harmless, so whatever may not have arrived is simply sent again.

const AGAIN_MS = 10_000; // between two tries: a browser's word on whether it has a network is often wrong
const GIVE_UP_MS = { text: 20_000, tap: 20_000, photo: 120_000 }; // common practice, no source
const MANY = { note: "notes", entry: "entries", tap: "taps", photo: "photos" };
const CLOCK = { start: "Start the clock", stop: "Stop the clock" };
const NOT_GONE = "No signal: this has not gone. Tap it again once the signal is back.";
const FORM_IN_USE = "First write on the card, or clear, what stands in the form.";
const NO_ANSWER = "The garage’s computer didn’t answer as it should. Nothing is lost: it is tried again.";
const LOG_IN = "Log in and open a card again: what waits is kept here and goes then.";

const region = document.getElementById("waiting");
const [says, trouble] = region.children;
const refusals = document.getElementById("refused");
const { card, person } = region.dataset; // nobody's taps go under another's name
const token = JSON.parse(document.body.getAttribute("hx-headers"))["x-csrftoken"];

let waiting = []; // {key, person, card, kind, name, what, tap, path, fields, tappedAt, refused}, in the order of the taps
let isSending = false;
let hasGone = false;

// The store

const database = new Promise((resolve, reject) => {
  const request = indexedDB.open("tickover", 1);
  request.addEventListener("upgradeneeded", () => request.result.createObjectStore("waiting", { keyPath: "key" }));
  request.addEventListener("success", () => resolve(request.result));
  request.addEventListener("error", () => reject(request.error));
}).catch(() => null); // a private window may have none: then it waits on the open page alone

async function store(act) {
  const opened = await database;
  if (!opened) return null;
  const request = act(opened.transaction("waiting", "readwrite").objectStore("waiting"));
  return new Promise((resolve, reject) => {
    request.addEventListener("success", () => resolve(request.result));
    request.addEventListener("error", () => reject(request.error));
  });
}

let isKept = true; // all that waits lies in the store too

async function save(item) {
  try {
    isKept = (await store((rows) => rows.put(item))) !== null && isKept;
  } catch {
    isKept = false; // the store is full
  }
  show();
}

function forget(item) {
  waiting = waiting.filter((other) => other !== item);
  return store((rows) => rows.delete(item.key)).catch(() => null);
}

// What cannot be sent

/** A random UUID. crypto.randomUUID is not there by plain http, as a garage's own network may serve the page. */
function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40; // version 4, variant 1 (RFC 9562, 5.4)
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

document.addEventListener("htmx:configRequest", (event) => {
  const request = event.detail;
  if (request.verb === "post") say("");
  if (!request.elt.matches("form[data-waits]") || request.errors.length) return;
  request.path = request.elt.getAttribute("hx-post"); // a clock's button may have been turned
  request.parameters.key = newKey();
  request.tappedAt = new Date();
  request.timeout = GIVE_UP_MS[request.elt.dataset.waits];
  const isDrawn = !region.classList.contains("htmx-request"); // else the answer would come into a part that has gone
  if (navigator.onLine && isDrawn && !waiting.some((item) => !item.refused)) return;
  event.preventDefault(); // nothing overtakes what waits already
  keep(request);
});

for (const cut of ["htmx:sendError", "htmx:timeout"])
  document.addEventListener(cut, (event) => {
    const request = event.detail.requestConfig;
    if (request.elt.matches("form[data-waits]")) keep(request);
    else if (request.verb === "post") say(NOT_GONE);
  });

function keep({ elt, formData, path, tappedAt }) {
  const { waits: kind, tap } = elt.dataset;
  const fields = [...formData].filter(([name]) => !["csrfmiddlewaretoken", "key"].includes(name));
  const words = fields.find(([name, value]) => name.endsWith("words") && value)?.[1];
  const item = { key: formData.get("key"), person, card, kind, tap, path, fields, tappedAt, refused: "" };
  item.name = kind === "text" ? (elt.querySelector("details[open]") ? "entry" : "note") : kind;
  item.what = kind === "tap" ? elt.textContent.trim() : (words ?? "without words");
  waiting.push(item);
  waiting.sort((one, other) => one.tappedAt - other.tappedAt);
  if (kind !== "tap") elt.reset();
  hasGone = false;
  save(item).then(send);
}

// Sending

async function send() {
  if (isSending || !navigator.onLine) return;
  isSending = true;
  const gone = new Set();
  let item;
  try {
    while ((item = waiting.find((one) => !one.refused))) {
      await sent(item);
      if (item.refused) await save(item);
      else {
        await forget(item);
        hasGone = true;
        if (item.card === card) gone.add(item.kind);
      }
    }
    if (hasGone) say("");
  } catch (error) {
    if (error instanceof Stuck) say(error.message); // of anything else it is the signal: it stays, and waits
  }
  isSending = false;
  show();
  if (gone.size) drawAnew(gone);
}

class Stuck extends Error {}

/** Returns once it has arrived or was refused; throws if neither is known. */
async function sent(item) {
  const body = new FormData();
  for (const [name, value] of item.fields) body.append(name, value);
  body.append("key", item.key);
  body.append("tapped_at", item.tappedAt.toISOString());
  const signal = AbortSignal.timeout(GIVE_UP_MS[item.kind]);
  const answer = await fetch(item.path, { method: "POST", body, headers: { "X-CSRFToken": token }, signal });
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  if (answer.status >= 500 || answer.status === 429) throw new Stuck(NO_ANSWER);
  if (answer.status === 403 || (answer.ok && !page.getElementById("waiting"))) throw new Stuck(LOG_IN);
  const said = page.querySelector("[data-trouble]") ?? (answer.ok ? null : page.querySelector("h1"));
  item.refused = said?.textContent.trim() ?? "";
}

/** The parts of the card that what has gone has changed; what is half written elsewhere stays. */
function drawAnew(gone) {
  const parts = { text: "#card-lines", tap: "#card-state,#in-hand,#labour", photo: "#photos" };
  region.setAttribute("hx-select-oob", [...gone].map((kind) => parts[kind]).concat("#close").join(","));
  htmx.trigger(region, "has-gone");
}

// What the page says

/** Puts a paragraph into a live region, which reads it out; an empty sentence takes it away. */
function put(place, className, sentence) {
  if (place.textContent === sentence) return;
  const line = document.createElement("p");
  line.className = className;
  line.textContent = sentence;
  place.replaceChildren(...(sentence ? [line] : []));
}

function say(sentence) {
  put(trouble, "trouble", sentence);
}

function show() {
  const open = waiting.filter((item) => !item.refused);
  const refused = waiting.length - open.length;
  const counts = Object.keys(MANY)
    .map((name) => [open.filter((item) => item.name === name).length, name])
    .filter(([count]) => count)
    .map(([count, name]) => `${count} ${count === 1 ? name : MANY[name]}`);
  const stays = isKept ? "It is kept here until it has gone." : "Keep this page open until it has gone.";
  const sentences = [];
  if (open.length) sentences.push(`Waiting for the signal: ${counts.join(", ")}. ${stays}`);
  const elsewhere = [...new Set(open.map((item) => item.card))].filter((number) => number !== card);
  if (elsewhere.length) sentences.push(`Some of it is for card ${elsewhere.join(" and ")}.`);
  if (refused) sentences.push(`Refused, to be mended: ${refused}, at the top of this page.`);
  if (!waiting.length && hasGone) sentences.push("All that waited has gone.");
  put(says, "said", sentences.join(" "));
  refusals.replaceChildren(...waiting.filter((item) => item.refused).map(refusal));
  refusals.hidden = !refused;
  turnTheClock(open.filter((item) => item.tap && item.card === card).at(-1)?.tap);
}

/** Who has started a clock can stop it, also while the start waits. */
function turnTheClock(tapped) {
  for (const form of document.querySelectorAll("form[data-tap]")) {
    if (form.dataset.tap !== tapped) continue;
    form.dataset.tap = tapped === "start" ? "stop" : "start";
    form.setAttribute("hx-post", form.dataset[form.dataset.tap]);
    form.querySelector("button").textContent = CLOCK[form.dataset.tap];
  }
}

function refusal(item) {
  const line = document.createElement("li");
  const at = item.tappedAt.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
  const [why, what] = [document.createElement("p"), document.createElement("p")];
  why.className = "trouble";
  why.textContent = item.refused;
  what.textContent = `${item.card === card ? "" : `Card ${item.card}, `}${item.name}, ${at}: ${item.what}`;
  const acts = [["Send it again", sendAgain], ["Throw it away", throwAway]];
  if (item.kind === "text" && item.card === card && document.getElementById("write")) acts.unshift(["Put it back in the form", putBack]);
  line.append(why, what, ...acts.map(([words, act]) => button(words, what.textContent, () => act(item))));
  return line;
}

function button(words, about, act) {
  const made = document.createElement("button");
  made.type = "button";
  made.textContent = words;
  made.setAttribute("aria-label", `${words}: ${about}`);
  made.addEventListener("click", act);
  return made;
}

function sendAgain(item) {
  item.refused = "";
  save(item).then(send);
}

function throwAway(item) {
  forget(item).then(show);
}

function putBack(item) {
  const form = document.getElementById("write");
  const isInUse = [...form.querySelectorAll("textarea, input[type=text]")].some((field) => field.value !== field.defaultValue);
  say(isInUse ? FORM_IN_USE : "");
  if (isInUse) return;
  for (const [name, value] of item.fields) {
    const field = form.elements[name];
    if (!field) continue;
    if (field.type === "checkbox") field.checked = true;
    else field.value = value;
    if (value && "defaultValue" in field && value !== field.defaultValue) field.closest("details")?.setAttribute("open", "");
  }
  throwAway(item);
  form.querySelector("input:not([type=hidden]), textarea").focus();
}

store((rows) => rows.getAll())
  .catch(() => null)
  .then((items) => {
    const kept = (items ?? []).filter((item) => item.person === person); // of any card: the page it was tapped on may be shut
    waiting = [...kept, ...waiting].sort((one, other) => one.tappedAt - other.tappedAt);
    show();
    send();
  });
setInterval(() => waiting.length && send(), AGAIN_MS);
window.addEventListener("online", send);
document.addEventListener("htmx:afterSettle", show); // a part that came anew has the clock as the garage knows it
window.addEventListener("beforeunload", (event) => {
  if (!isKept && waiting.length) event.preventDefault();
});
