// Photos of a sent job: what is too large is named before it is sent, and what is being prepared appears by itself.
const WAIT_MS = 2000;
const TRIES = 15;
const form = document.getElementById("photos-form");

function note(text) {
  const line = document.createElement("p");
  line.className = "error";
  line.textContent = text;
  return line;
}

form?.addEventListener("submit", (event) => {
  const input = document.getElementById("id_photos");
  const large = [...input.files].filter((file) => file.size > Number(form.dataset.most));
  document.getElementById("id_photos_error").replaceChildren(...large.map((file) => note(`${file.name}: ${form.dataset.large}`)));
  if (large.length) {
    event.preventDefault();
    input.focus();
    return;
  }
  const button = form.querySelector("button");
  const said = button.textContent;
  button.textContent = form.dataset.sending;
  window.addEventListener("pageshow", () => { button.textContent = said; }, { once: true });
});

async function untilReady() {
  for (let tries = 0; tries < TRIES && document.querySelector('#own-list [data-state="waiting"]'); tries += 1) {
    await new Promise((done) => { setTimeout(done, WAIT_MS); });
    const list = document.getElementById("own-list");
    if (list.contains(document.activeElement)) continue;
    const answer = await fetch(window.location.pathname).catch(() => null);
    if (!answer?.ok) continue;
    const fresh = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("own-list");
    if (fresh) list.replaceWith(fresh);
  }
}

untilReady();
