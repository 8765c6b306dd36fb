// What is typed and not sent yet stays in this tab while the reader changes the language or the units, loads the
// page again, or goes somewhere and comes back. It stays in the browser, and goes with the tab.

const KEY = `typed:${document.querySelector("[data-typed]")?.dataset.typed || location.pathname}`;
const FIELDS = "[data-typed] :is(textarea, input:is([type=text], [type=email], [type=tel], [type=date]))";
const sent = new Set();
const served = new Map();

function fields() {
  return [...document.querySelectorAll(FIELDS)].filter((field) => field.id && !field.readOnly);
}

function putBack() {
  const kept = JSON.parse(sessionStorage.getItem(KEY) ?? "{}");
  for (const key of Object.keys(sessionStorage)) if (key.startsWith("typed:")) sessionStorage.removeItem(key);
  for (const field of fields()) {
    // what stands in a form that was refused, or in lines to write, was typed and is not kept
    const typed = field.matches("textarea") || field.form?.querySelector(".has-error");
    served.set(field.id, typed ? "" : field.defaultValue);
    if (!(field.id in kept) || field.value !== field.defaultValue || (typed && field.value)) continue;
    field.value = kept[field.id];
  }
}

function keep() {
  // what the site keeps it gives back itself, and as it is by then
  if (document.getElementById("id_keep_contact")?.checked) return;
  const typed = fields().filter((field) => field.value !== (served.get(field.id) ?? "") && !sent.has(field.form));
  if (typed.length) sessionStorage.setItem(KEY, JSON.stringify(Object.fromEntries(typed.map((field) => [field.id, field.value]))));
}

try {
  putBack();
  window.addEventListener("pagehide", () => { try { keep(); } catch { /* no room, or none allowed */ } });
} catch { /* a browser that stores nothing keeps nothing */ }

document.addEventListener("submit", ({ target }) => {
  // what is sent is the site's to give back where it is refused; the build's own form keeps it until it is sent
  if (target.id !== "build") sent.add(target);
  if (target.matches("[data-forgets]")) for (const field of fields()) sent.add(field.form);
});
window.addEventListener("pageshow", () => { sent.clear(); });
