// Says the result aloud: a region that was full when the page came is not read out by itself.

const aloud = document.querySelector('[data-aloud]');

if (aloud?.dataset.say.trim()) {
  setTimeout(() => { aloud.textContent = aloud.dataset.say.trim(); }, 150);
}
