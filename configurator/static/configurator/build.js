// The little that the build page does beyond htmx: setting what a button changed, keeping the place and the
// focus, leading from section to section, photos one by one with another try. Everything here has a plain form
// behind it, so the page works without this file.

const root = document.documentElement;
root.classList.add("has-script");

const form = document.getElementById("build");
// htmx leaves the form alone until it is sure that this file runs: it sets what a button changed, which would
// otherwise come back with the next choice.
form?.removeAttribute("hx-disable");
const WAIT_MS = 1500;
const TRIES = 40;
const LEAVING_MS = 8000;

function closeOptions() {
  const closed = new Set([...document.querySelectorAll("[data-closed]")].map((mark) => mark.dataset.closed));
  for (const input of document.querySelectorAll(".option > .choice > input")) {
    const shut = closed.has(input.value) && !input.checked;
    if (input.disabled !== shut) input.disabled = shut;
  }
}

// what was not taken is said as what it is, until something is taken again

function notSaved(why) {
  const note = document.getElementById("offline");
  if (!note) return;
  note.hidden = !why;
  note.textContent = why ?? "";
}

function whyNot(status) {
  if (!status) return form.dataset.offline;
  return { 403: form.dataset.stale, 404: form.dataset.gone, 410: form.dataset.gone }[status] ?? form.dataset.failed;
}

const IN_WORDS = [409, 422, 429];

function isTaken(request) {
  return request.status >= 200 && (request.status < 400 || IN_WORDS.includes(request.status));
}

// Signing in elsewhere or clearing cookies makes the page's token worthless: a new one is had, once, and what
// was refused is asked again.

let renewing = null;
const refusedOnce = new Set();

async function renewToken() {
  const answer = await fetch(form.action).catch(() => null);
  const page = new DOMParser().parseFromString(answer?.ok ? await answer.text() : "", "text/html");
  const token = page.querySelector("#build input[name=csrfmiddlewaretoken]")?.value;
  for (const input of token ? document.querySelectorAll("input[name=csrfmiddlewaretoken]") : []) input.value = token;
  return Boolean(token);
}

async function askAgain(element) {
  if (refusedOnce.has(element)) { notSaved(whyNot(403)); return; }
  refusedOnce.add(element);
  renewing ??= renewToken().finally(() => { renewing = null; });
  if (!await renewing) { notSaved(whyNot(403)); return; }
  if (element === form) form.dispatchEvent(new Event("change"));
  else if (element.isConnected) element.click();
}

// the place and the focus: what was touched stays where it was, whatever grows or goes around it

let touched = null;

function isShown(element) {
  return element?.isConnected && element.getClientRects().length > 0;
}

function homeOf(element) {
  const holder = element.closest("[id^=state-]");
  if (holder) return holder.closest(".option")?.querySelector(".choice input");
  if (element.closest("#live-chosen")) return document.getElementById("h-chosen");
  if (element.closest("#live-why, #send-problems, #send-came")) return document.querySelector("button[value=send]");
  return null;
}

function remember(element) {
  const anchor = element.closest(".option, .pick, .swatch, .field") ?? element;
  touched = { element, anchor, top: anchor.getBoundingClientRect().top, home: homeOf(element) };
}

function restore() {
  if (!touched) return;
  const { element, anchor, top, home } = touched;
  const lost = !element.isConnected && document.activeElement === document.body;
  if (lost && isShown(home)) home.focus({ preventScroll: true });
  const mark = isShown(anchor) ? anchor : isShown(home) ? home.closest(".option") ?? home : null;
  if (mark && !mark.closest(".side")) {
    const moved = mark.getBoundingClientRect().top - top;
    if (Math.abs(moved) >= 1) window.scrollBy({ top: moved, behavior: "instant" });
  }
}

document.addEventListener("htmx:beforeOnLoad", (event) => {
  if (!form?.contains(event.detail.elt)) return;
  const pressed = event.detail.requestConfig?.triggeringEvent?.submitter ?? event.detail.requestConfig?.triggeringEvent?.target;
  remember(pressed instanceof Element && form.contains(pressed) && pressed !== form ? pressed : document.activeElement);
});

document.addEventListener("htmx:afterOnLoad", (event) => {
  if (!form?.contains(event.detail.elt) || !isTaken(event.detail.xhr)) return;
  notSaved(null);
  refusedOnce.clear();
  closeOptions();
  putRight();
  turnTo(document.querySelector("[data-turn]")?.dataset.turn);
  const problems = document.querySelector("#send-problems #problems, #send-came #changed, #send-came #refused");
  if (problems && event.detail.requestConfig?.parameters?.do === "send") {
    openSection("send", false);
    problems.tabIndex = -1;
    problems.focus();
    problems.scrollIntoView({ block: "center", behavior: "instant" });
    return;
  }
  restore();
});
document.addEventListener("htmx:afterSettle", () => { closeOptions(); });

// a field that is no longer on the list of what was refused is no longer called wrong; what is typed stays
function putRight() {
  for (const field of document.querySelectorAll("#contact-fields .has-error, #consent-fields .has-error")) {
    if (document.querySelector(`#problems a[href="#${field.id}"]`)) continue;
    field.classList.remove("has-error");
    const error = field.querySelector("[id$=_error]");
    for (const input of field.querySelectorAll("[aria-invalid]")) {
      input.removeAttribute("aria-invalid");
      input.setAttribute("aria-describedby", (input.getAttribute("aria-describedby") ?? "").replace(error?.id ?? "", "").trim());
    }
    error?.remove();
  }
}

for (const failed of ["htmx:sendError", "htmx:timeout"]) {
  document.addEventListener(failed, () => notSaved(whyNot(0)));
}
document.addEventListener("htmx:responseError", (event) => {
  const { elt, xhr } = event.detail;
  if (xhr.status === 403 && form?.contains(elt)) askAgain(elt);
  else notSaved(whyNot(xhr.status));
});
window.addEventListener("online", () => {
  if (!document.getElementById("offline")?.hidden) form.dispatchEvent(new Event("change"));
});

// what was chosen while an answer was on its way stands, also where that answer brings a list anew

const chosenAt = new Map();
let changes = 0;
form?.addEventListener("change", (event) => {
  const { name, value, type, checked } = event.target;
  if (!name || (type !== "radio" && type !== "checkbox")) return;
  changes += 1;
  chosenAt.set(type === "radio" ? name : `${name}=${value}`, { name, value, checked, change: changes });
}, true);
document.addEventListener("htmx:configRequest", (event) => {
  event.detail.changesSent = changes;
  // What this page shows, so that only what differs is sent. Not a field: browsers put old values back into those.
  if (event.detail.verb !== "post" || !form?.contains(event.detail.elt)) return;
  event.detail.parameters.seen = document.getElementById("seen").dataset.marks;
  // What was refused stays judged, so that its list says what is left of it.
  if (document.querySelector("#send-problems #problems")) event.detail.parameters.asked = "1";
});
function chooseAgain(event) {
  const sent = event.detail.requestConfig?.changesSent;
  if (sent === undefined) return;
  for (const { name, value, checked, change } of chosenAt.values()) {
    if (change <= sent) continue;
    const input = form.querySelector(`[name="${CSS.escape(name)}"][value="${CSS.escape(value)}"]`);
    if (input && input.checked !== checked) input.checked = checked;
  }
}
document.addEventListener("htmx:afterOnLoad", chooseAgain);
document.addEventListener("htmx:afterSettle", chooseAgain);

// what a button changed is set in the inputs, which are never replaced themselves
document.addEventListener("kerb:values", (event) => {
  for (const [name, value] of Object.entries(event.detail)) {
    if (name === "elt") continue;
    const wanted = Array.isArray(value) ? value : [value];
    for (const input of form.querySelectorAll(`[name="${CSS.escape(name)}"]`)) {
      if (input.type === "checkbox" && typeof value === "boolean") input.checked = value;
      else if (input.type === "checkbox" || input.type === "radio") input.checked = wanted.includes(input.value);
      else if (input.type !== "hidden") input.value = value;
    }
  }
});

// the picture turns to what was changed, or by hand; turning it changes nothing else
function turnTo(view) {
  const radio = view && form.querySelector(`input[name=turn][value="${view}"]`);
  if (radio) radio.checked = true;
}
document.addEventListener("change", (event) => {
  if (event.target.matches("[data-quiet]")) event.stopImmediatePropagation();
}, true);

// sections: the map, "Next" and links to something inside open what they lead to
function openSection(key, alone = true) {
  const section = document.getElementById(`s-${key}`);
  if (!section) return;
  if (alone) for (const other of document.querySelectorAll("details.part[open]")) if (other !== section) other.open = false;
  section.open = true;
  const overview = document.getElementById("overview");
  if (overview?.matches(":popover-open")) overview.hidePopover();
  const next = section.querySelector(".part-end a");
  const lead = document.getElementById("next");
  if (next && lead) {
    lead.href = next.getAttribute("href");
    lead.querySelector(".visually-hidden").textContent = `: ${document.getElementById(`h-${next.dataset.section}`).textContent}`;
  }
  if (alone) {
    section.scrollIntoView({ block: "start", behavior: "instant" });
    section.querySelector("summary").focus({ preventScroll: true });
  }
}
document.addEventListener("click", (event) => {
  const link = event.target.closest?.('#build a[href^="#"]');
  if (!link) return;
  const aim = document.getElementById(link.getAttribute("href").slice(1));
  if (!aim) return;
  event.preventDefault();
  if (aim.matches("details.part")) { openSection(aim.id.slice(2)); return; }
  for (let holder = aim.closest("details"); holder; holder = holder.parentElement.closest("details")) holder.open = true;
  aim.scrollIntoView({ block: "center", behavior: "instant" });
  const field = aim.matches("[id^=state-]") ? aim.querySelector("button") : aim.querySelector("input:not([type=hidden]), select, textarea, button");
  if (field) field.focus({ preventScroll: true });
  else { aim.tabIndex = -1; aim.focus({ preventScroll: true }); }
});

// a colour picked by hand means "a colour of my own"
document.addEventListener("input", (event) => {
  const field = { id_accent_wanted: "accent", id_body_tone: "body_finish", id_body_code: "body_finish" }[event.target.id];
  if (!field) return;
  const own = document.querySelector(`input[name="${field}"][value="own"]`);
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
  if (file.size > Number(words.most)) { refuse(file, row, name, words.large, false); return; }
  const data = withToken();
  data.append("photos", file, file.name);
  let problem = words.failed;
  try {
    let answer = await send(words.url, data, (share) => { bar.value = share; });
    if (answer.status === 403 && await renewToken()) {
      data.set("csrfmiddlewaretoken", withToken().get("csrfmiddlewaretoken"));
      answer = await send(words.url, data, (share) => { bar.value = share; });
    }
    if (answer.status === 200) {
      const element = itemFrom(answer.responseText);
      document.getElementById("photo-list").append(element);
      row.remove();
      untilReady(element);
      return;
    }
    if (answer.status === 422 || answer.status === 429) problem = answer.responseText;
  } catch { /* the connection failed: the file stays here for another try */ }
  refuse(file, row, name, problem, true);
}

// what did not go through stays in the list under its name, to be sent again or left out
function refuse(file, row, name, problem, again) {
  const words = document.getElementById("photo-words").dataset;
  const note = document.createElement("p");
  note.className = "error";
  note.textContent = problem;
  const buttons = document.createElement("div");
  buttons.className = "row";
  if (again) buttons.append(button(words.again, () => upload(file, row)));
  buttons.append(button(words.drop, () => row.remove()));
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
  const ask = () => fetch(pressed.formAction, { method: "POST", body: withToken(), headers: { "X-Kerbline": "photo" } }).catch(() => null);
  let answer = await ask();
  if (answer?.status === 403 && await renewToken()) answer = await ask();
  if (!answer?.ok) { pressed.disabled = false; notSaved(whyNot(answer?.status)); return; }
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

// A press that leads to another page counts once while its answer is on the way.
let leaving = 0;
form?.addEventListener("submit", (event) => {
  if (event.defaultPrevented) return;
  if (Date.now() - leaving < LEAVING_MS) event.preventDefault();
  else leaving = Date.now();
});
window.addEventListener("pageshow", () => { leaving = 0; });

if (form) {
  closeOptions();
  document.querySelectorAll('.photo[data-state="waiting"]').forEach(untilReady);
  document.getElementById("problems")?.focus();
}
