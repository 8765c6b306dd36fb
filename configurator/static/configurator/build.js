// The little that the build page does beyond htmx: photos one by one with progress and another try,
// closed options that cannot be ticked, and saying so when the connection is gone. Everything here has
// a plain form behind it, so the page works without this file.

const root = document.documentElement;
root.classList.add("has-script");

const form = document.getElementById("build");
const WAIT_MS = 1500;
const TRIES = 40;

function closeOptions() {
  const closed = new Set([...document.querySelectorAll("[data-closed]")].map((mark) => mark.dataset.closed));
  for (const input of document.querySelectorAll(".option > .choice > input")) {
    const shut = closed.has(input.value) && !input.checked;
    if (input.disabled !== shut) input.disabled = shut;
  }
}

function offline(show) {
  const note = document.getElementById("offline");
  if (!note) return;
  note.hidden = !show;
  note.textContent = show ? document.getElementById("build").dataset.offline : "";
}

document.addEventListener("htmx:afterSettle", (event) => {
  closeOptions();
  if (event.detail.elt?.id === "build") document.getElementById("problems")?.focus();
});
document.addEventListener("htmx:oobAfterSwap", closeOptions);
document.addEventListener("htmx:afterOnLoad", () => offline(false));
for (const failed of ["htmx:sendError", "htmx:timeout", "htmx:responseError"]) {
  document.addEventListener(failed, () => offline(true));
}

// a colour picked by hand means "a colour of my own"
document.addEventListener("input", (event) => {
  if (event.target.id !== "id_accent_wanted") return;
  const own = document.querySelector('input[name="accent"][value="own"]');
  if (own) own.checked = true;
});

// photos

function send(url, data, onProgress) {
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    request.open("POST", url);
    request.setRequestHeader("X-Kerbline", "photo");
    request.upload.addEventListener("progress", (event) => event.lengthComputable && onProgress(event.loaded / event.total));
    request.addEventListener("load", () => resolve(request));
    request.addEventListener("error", () => reject(new Error("connection")));
    request.addEventListener("timeout", () => reject(new Error("timeout")));
    request.send(data);
  });
}

function withToken() {
  const data = new FormData();
  data.append("csrfmiddlewaretoken", document.querySelector("#build input[name=csrfmiddlewaretoken]").value);
  return data;
}

function itemFrom(html) {
  const holder = document.createElement("template");
  holder.innerHTML = html.trim();
  return holder.content.firstElementChild;
}

function button(label, onClick) {
  const element = document.createElement("button");
  element.type = "button";
  element.className = "btn btn-small";
  element.textContent = label;
  element.addEventListener("click", onClick);
  return element;
}

async function untilReady(element) {
  for (let tries = 0; element.dataset.state === "waiting" && tries < TRIES; tries += 1) {
    await new Promise((done) => setTimeout(done, WAIT_MS));
    if (!element.isConnected) return;
    const answer = await fetch(element.dataset.src, { headers: { "X-Kerbline": "photo" } }).catch(() => null);
    if (!answer || !answer.ok) continue;
    const fresh = itemFrom(await answer.text());
    element.replaceWith(fresh);
    element = fresh;
  }
}

async function upload(file, row) {
  const words = document.getElementById("photo-words").dataset;
  const bar = document.createElement("progress");
  bar.max = 1;
  bar.value = 0;
  bar.setAttribute("aria-label", file.name);
  const name = document.createElement("span");
  name.textContent = file.name;
  row.replaceChildren(name, bar);
  const data = withToken();
  data.append("photos", file, file.name);
  let problem = words.failed;
  try {
    const answer = await send(words.url, data, (share) => { bar.value = share; });
    if (answer.status === 200) {
      const element = itemFrom(answer.responseText);
      document.getElementById("photo-list").append(element);
      row.remove();
      untilReady(element);
      return;
    }
    if (answer.status === 422) problem = answer.responseText;
  } catch { /* the connection failed: the file stays here for another try */ }
  const note = document.createElement("p");
  note.className = "error";
  note.textContent = problem;
  const buttons = document.createElement("div");
  buttons.className = "row";
  buttons.append(button(words.again, () => upload(file, row)), button(words.drop, () => row.remove()));
  row.replaceChildren(name, note, buttons);
}

async function uploadAll(files) {
  const list = document.getElementById("uploads");
  const rows = files.map((file) => {
    const row = document.createElement("li");
    row.textContent = file.name;
    list.append(row);
    return [file, row];
  });
  for (const [file, row] of rows) await upload(file, row);
}

document.addEventListener("change", (event) => {
  if (event.target.id !== "id_photos") return;
  event.stopPropagation();
  const files = [...event.target.files];
  event.target.value = "";
  uploadAll(files);
}, true);

document.addEventListener("click", async (event) => {
  const pressed = event.target.closest("button[data-photo]");
  if (!pressed) return;
  event.preventDefault();
  const element = pressed.closest(".photo");
  pressed.disabled = true;
  const answer = await fetch(pressed.formAction, { method: "POST", body: withToken(), headers: { "X-Kerbline": "photo" } }).catch(() => null);
  if (!answer || !answer.ok) { pressed.disabled = false; offline(true); return; }
  const html = await answer.text();
  if (html.trim() === "") {
    element.remove();
    document.getElementById("id_photos").focus();
    return;
  }
  const fresh = itemFrom(html);
  element.replaceWith(fresh);
  fresh.querySelector(`[data-photo="${pressed.dataset.photo}"]`)?.focus();
});

if (form) {
  closeOptions();
  document.querySelectorAll('.photo[data-state="waiting"]').forEach(untilReady);
  document.getElementById("problems")?.focus();
}
