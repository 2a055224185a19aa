// The marker over a taught sound's picture goes along with the sound, and one sound plays at a time. The events of players
// do not rise, so they are caught on their way down: what comes into the page later is heard of too.
const still = matchMedia("(prefers-reduced-motion: reduce)");

const mark = (player) => {
  const sound = player.closest?.(".sound[data-seconds]");
  if (!sound) return;
  const now = sound.querySelector(".now");
  now.hidden = player.currentTime === 0;
  now.style.left = `${100 * Math.min(player.currentTime / Number(sound.dataset.seconds), 1)}%`;
};

const follow = (player) => {
  mark(player);
  if (!player.paused) requestAnimationFrame(() => follow(player));
};

document.addEventListener("play", ({ target }) => {
  for (const other of document.querySelectorAll("audio, video")) if (other !== target) other.pause();
  if (!still.matches) follow(target);
}, true);
for (const stop of ["pause", "seeked", "ended"]) document.addEventListener(stop, ({ target }) => mark(target), true);
