// Sends a clip, shows the progress, and keeps the clip until it has arrived, so that it can be sent again.
// Without this script the form is sent as any other form.

const MB = 1_000_000;
const NO_WAY = "It didn’t get through: the connection broke. Nothing is lost. Try again.";
const STOPPED = "Stopped. Nothing is lost. You can send it again.";
const TOO_LARGE = "The file is too large to send: ten seconds of sound is enough.";
const NO_ANSWER = "The garage’s computer didn’t answer as it should. Nothing is lost. Try again.";

const form = document.getElementById("clip-form");
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
    fail(`This file is ${Math.ceil(waiting.body.size / MB)} MB. You can send up to ${largest} MB.`);
    return;
  }
  const data = new FormData();
  data.append(picker.name, waiting.body, waiting.name);
  request = new XMLHttpRequest();
  request.upload.addEventListener("progress", (event) => progress(event.loaded, event.total));
  request.addEventListener("load", answered);
  request.addEventListener("error", () => fail(NO_WAY));
  request.addEventListener("abort", () => fail(STOPPED));
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
  const [doneMb, totalMb] = [done, total].map((bytes) => (bytes / MB).toFixed(1));
  bar.value = share;
  words.textContent =
    done < total || !total
      ? `${doneMb} of ${totalMb} MB sent, ${share} %`
      : "All sent. One moment while it is saved.";
}

function answered() {
  if (request.status < 400) {
    waiting = null;
    location.assign(request.responseURL);
    return;
  }
  const page = new DOMParser().parseFromString(request.responseText, "text/html");
  const said = page.querySelector("[data-trouble]") ?? page.querySelector("h1");
  fail(request.status === 413 ? TOO_LARGE : said?.textContent.trim() || NO_ANSWER);
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
