// Sends a clip, shows the progress, and keeps the clip until it has arrived, so that it can be sent again.
// Without this script the form is sent as any other form.

const MB = 1_000_000;
const form = document.getElementById("clip-form");
const said = form.dataset; // its sentences, in the page's language; figures stand in them as [name]
const picker = form.querySelector("input[type=file]");
const largest = Number(form.dataset.largestMb);
const bar = document.querySelector("[data-stage=sending] progress");
const words = document.querySelector("[data-stage=sending] [data-progress]");

let waiting = null; // {body, name, isRecording}: what has not arrived yet
let request = null;

/** Shows one stage at a time and moves the focus to its first line, so that it never stays on a hidden button. */
export function stage(name) {
  for (const part of document.querySelectorAll("[data-stage]")) {
    part.toggleAttribute("hidden", !part.dataset.stage.split(" ").includes(name));
  }
  document.querySelector(`[data-stage~="${name}"] [data-first]`)?.focus();
}

/** Shows one sentence and moves the focus to it; an empty one hides it. */
export function trouble(sentence) {
  const line = document.getElementById("clip-trouble");
  line.textContent = sentence;
  line.toggleAttribute("hidden", !sentence);
  if (sentence) line.focus();
}

/** Keeps an unsent recording, so that a slip of the thumb does not lose it; null forgets it. */
export function keep(recording) {
  waiting = recording && { ...recording, isRecording: true };
}

function send() {
  trouble("");
  if (waiting.body.size > largest * MB) {
    fail(filled(said.larger, { found: Math.ceil(waiting.body.size / MB), most: largest }));
    return;
  }
  const data = new FormData();
  data.append(picker.name, waiting.body, waiting.name);
  request = new XMLHttpRequest();
  request.upload.addEventListener("progress", (event) => progress(event.loaded, event.total));
  request.addEventListener("load", answered);
  request.addEventListener("error", () => fail(said.noWay));
  request.addEventListener("abort", () => fail(said.stopped));
  request.open("POST", form.action);
  progress(0, waiting.body.size);
  stage("sending");
  request.send(data);
}

function cancel() {
  request.abort();
}

function progress(done, total) {
  const share = total ? Math.floor((100 * done) / total) : 0;
  const [doneMb, totalMb] = [done, total].map((bytes) => inFigures(bytes / MB));
  bar.value = share;
  words.textContent =
    done < total || !total
      ? filled(said.sentSoFar, { done: doneMb, all: totalMb, share })
      : said.allSent;
}

function answered() {
  if (request.status < 400) {
    waiting = null;
    location.assign(request.responseURL);
    return;
  }
  const page = new DOMParser().parseFromString(request.responseText, "text/html");
  const answer = page.querySelector("[data-trouble]") ?? page.querySelector("h1");
  fail(request.status === 413 ? said.tooLarge : answer?.textContent.trim() || said.noAnswer);
}

function filled(sentence, figures) {
  return sentence.replace(/\[(\w+)\]/g, (_, name) => figures[name]);
}

function inFigures(number) {
  const places = { minimumFractionDigits: 1, maximumFractionDigits: 1, useGrouping: false };
  return number.toLocaleString(document.documentElement.lang, places);
}

function fail(sentence) {
  request = null;
  stage("failed");
  trouble(sentence);
}

form.addEventListener("submit", (event) => {
  const [chosen] = picker.files;
  if (!chosen) return; // the server says what is missing
  event.preventDefault();
  waiting = { body: chosen, name: chosen.name, isRecording: false };
  send();
});

window.addEventListener("beforeunload", (event) => {
  if (waiting?.isRecording) event.preventDefault();
});

const ACTS = { send, cancel };
document.addEventListener("click", (event) => ACTS[event.target.closest("[data-do]")?.dataset.do]?.());
