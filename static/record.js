// The recorder on the clip page, for browsers that can record. A recording is sent the same way as a chosen file.
import { keep, stage, trouble } from "./clip_send.js";

const LEAD_IN_S = 5; // from the phone to the throttle; common practice, no source
const recorder = document.getElementById("recorder");
const said = recorder.dataset; // its sentences, in the page's language
const LEAD_IN = { untilS: 0, say: said.leadIn, next: said.leadInNext, isCounted: true };
const OPENING = { untilS: 4.2, say: said.opening, next: said.openingNext };
const HOLD = { untilS: 7.2, say: said.hold, next: said.holdNext, isCounted: true };
const STEPS = [ // the rev-out as the check sheet describes it, s from the start of the recording
  { untilS: 3, say: said.idle, next: said.idleNext, isCounted: true },
  OPENING,
  HOLD,
  { untilS: 10, say: said.shut, next: said.shutNext },
];
const LENGTH_S = STEPS[STEPS.length - 1].untilS;

const LOOK_EVERY_MS = 100;
const WINDOW_SAMPLES = 8192; // 0.17 s at 48 kHz: longer than LOOK_EVERY_MS, so that nothing is missed between two looks
const WINDOWS_LOOKED_BACK = 10; // the word at tickover is based on about a second
const LOOKS_BEFORE_A_CHANGE = 5; // a new word must hold for half a second, so that it does not flicker
// Microphone levels with automatic gain control off, dB relative to full scale. Common practice, no source.
const SILENT_DB = -90;
const IDLE_TOO_FAR_DB = -52;
const IDLE_TOO_LOUD_DB = -17; // at full throttle it is some 15 dB louder
const HOLD_TOO_FAR_DB = -45;
const CLIPPED_AT = 0.985; // of full scale
const CLIPPED_SAMPLES = 4; // in one window; fewer may be a knock on the phone
const CLIPPED_SHARE = 0.2; // of the windows in the hold; with fewer the clip can still be heard
const WORDS = {
  silent: [said.silent, said.silentHint],
  far: [said.far, said.farHint],
  loud: [said.loud, said.loudHint],
  good: [said.good, said.goodHint],
};

const BITS_PER_S = 96_000; // ten seconds are 120 kB; common practice, no source
const KINDS = [ // formats a browser may write, best first, and the file name for each
  ["audio/webm;codecs=opus", "clip.webm"],
  ["audio/mp4;codecs=mp4a.40.2", "clip.m4a"],
  ["audio/mp4", "clip.m4a"],
  ["audio/ogg;codecs=opus", "clip.ogg"],
];
const RAW = { echoCancellation: false, noiseSuppression: false, autoGainControl: false, channelCount: { ideal: 1 } };

const [levelWord, levelHint] = document.querySelectorAll("[data-level]");
const count = document.getElementById("count");
const [countSay, countNumber, countNext] = document.querySelectorAll("[data-count]");
const listen = document.getElementById("listen");
const samples = new Float32Array(WINDOW_SAMPLES);

let microphone = null; // {stream, context, analyser}
let isAsking = false; // the browser is asking about the microphone
let timer = 0;
let take = null; // {recorder, hasBegun, parts, holdLooks}: the recording under way

const kind = () => KINDS.find(([type]) => MediaRecorder.isTypeSupported(type));
const hasRecorder = () =>
  Boolean(navigator.mediaDevices?.getUserMedia && window.MediaRecorder && window.AudioContext && kind());

async function setUp() {
  if (isAsking) return;
  letGo();
  trouble("");
  isAsking = true;
  const context = new AudioContext(); // made while the press still counts as a user gesture: later the browser would suspend it
  try {
    const stream = await navigator.mediaDevices.getUserMedia({ audio: RAW });
    const analyser = new AnalyserNode(context, { fftSize: WINDOW_SAMPLES });
    new MediaStreamAudioSourceNode(context, { mediaStream: stream }).connect(analyser);
    microphone = { stream, context, analyser };
  } catch (error) {
    context.close();
    giveUp(["NotAllowedError", "SecurityError"].includes(error.name) ? said.refused : said.noneFound);
    return;
  } finally {
    isAsking = false;
  }
  stage("level");
  watchLevel();
}

// ---- How loud it is, in words.

function look() {
  microphone.analyser.getFloatTimeDomainData(samples);
  let squares = 0;
  let clipped = 0;
  for (const value of samples) {
    squares += value * value;
    if (Math.abs(value) >= CLIPPED_AT) clipped += 1;
  }
  return { meanSquare: squares / samples.length, isClipped: clipped >= CLIPPED_SAMPLES };
}

function levelDb(looks) {
  const meanSquare = looks.reduce((sum, each) => sum + each.meanSquare, 0) / looks.length;
  return 10 * Math.log10(meanSquare + 1e-12);
}

function wordAtIdle(looks) {
  const level = levelDb(looks);
  if (level < SILENT_DB) return "silent";
  if (looks.some((each) => each.isClipped) || level > IDLE_TOO_LOUD_DB) return "loud";
  return level < IDLE_TOO_FAR_DB ? "far" : "good";
}

function watchLevel() {
  let looks = [];
  let [shown, coming, stood] = ["", "", 0];
  [levelWord.textContent, levelHint.textContent] = [levelWord, levelHint].map((line) => line.dataset.firstWord);
  timer = setInterval(() => {
    looks = [...looks, look()].slice(-WINDOWS_LOOKED_BACK);
    if (looks.length < WINDOWS_LOOKED_BACK) return;
    const now = wordAtIdle(looks);
    stood = now === coming ? stood + 1 : 0;
    coming = now;
    if (now !== shown && (!shown || stood >= LOOKS_BEFORE_A_CHANGE)) {
      shown = now;
      [levelWord.textContent, levelHint.textContent] = WORDS[now];
    }
  }, LOOK_EVERY_MS);
}

function howItWas(looks) {
  const clipped = looks.filter((each) => each.isClipped).length;
  if (clipped > CLIPPED_SHARE * looks.length) return said.wasLoud;
  if (levelDb(looks) < HOLD_TOO_FAR_DB) return said.wasFar;
  return said.wasGood;
}

// ---- Ten seconds, step by step.

function begin() {
  clearInterval(timer);
  const [mimeType] = kind();
  const writer = new MediaRecorder(microphone.stream, { mimeType, audioBitsPerSecond: BITS_PER_S });
  const mine = { recorder: writer, hasBegun: false, parts: [], holdLooks: [] };
  take = mine;
  writer.addEventListener("dataavailable", (event) => mine.parts.push(event.data));
  writer.addEventListener("stop", () => mine === take && taken());
  writer.addEventListener("error", () => mine === take && giveUp(said.notRecorded));
  stage("count");
  count.showModal();
  const beganMs = performance.now() + LEAD_IN_S * 1000;
  tell(-LEAD_IN_S);
  timer = setInterval(() => goOn((performance.now() - beganMs) / 1000), LOOK_EVERY_MS);
}

function goOn(atS) {
  if (atS >= 0 && !take.hasBegun) {
    take.hasBegun = true;
    take.recorder.start();
  }
  if (atS > OPENING.untilS && atS < HOLD.untilS) take.holdLooks.push(look());
  if (atS < LENGTH_S) {
    tell(atS);
    return;
  }
  clearInterval(timer);
  if (take.recorder.state !== "inactive") take.recorder.stop();
}

function tell(atS) {
  const step = atS < 0 ? LEAD_IN : STEPS.find((each) => atS < each.untilS);
  if (countSay.textContent !== step.say) [countSay.textContent, countNext.textContent] = [step.say, step.next];
  countNumber.textContent = step.isCounted ? Math.ceil(step.untilS - atS) : "";
  count.classList.toggle("is-open", step === OPENING || step === HOLD);
}

function taken() {
  const [type, name] = kind();
  const { parts, holdLooks } = take;
  const recording = { body: new Blob(parts, { type: type.split(";")[0] }), name };
  letGo();
  if (!recording.body.size) {
    giveUp(said.notRecorded);
    return;
  }
  keep(recording);
  listen.src = URL.createObjectURL(recording.body);
  recorder.querySelector("[data-how-it-was]").textContent = holdLooks.length ? howItWas(holdLooks) : "";
  stage("listen");
}

/** Puts away everything that was set up: the phone must not go on listening. */
function letGo() {
  clearInterval(timer);
  count.close();
  const left = take;
  take = null;
  if (left && left.recorder.state !== "inactive") left.recorder.stop();
  for (const track of microphone?.stream.getTracks() ?? []) track.stop();
  microphone?.context.close();
  microphone = null;
  if (listen.src) URL.revokeObjectURL(listen.src);
  listen.removeAttribute("src");
  keep(null);
}

function giveUp(sentence = "") {
  letGo();
  stage("ready");
  trouble(sentence);
}

const ACTS = { "set-up": setUp, begin, stop: () => giveUp() };
document.addEventListener("click", (event) => ACTS[event.target.closest("[data-do]")?.dataset.do]?.());
count.addEventListener("cancel", () => giveUp());
window.addEventListener("pagehide", () => microphone && letGo());
if (hasRecorder()) recorder.removeAttribute("hidden");
else {
  for (const part of document.querySelectorAll("[data-needs-recorder]")) part.remove();
  document.querySelector(`[data-no-recorder=${window.isSecureContext ? "browser" : "page"}]`).removeAttribute("hidden");
}
