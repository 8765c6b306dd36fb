// Points of a profile dragged on the picture. The numbers are the truth: without script they do alone.
"use strict";
for (const box of document.querySelectorAll("[data-profile]")) {
  const svg = box.querySelector("svg"), line = svg.querySelector(".profile-line"), group = svg.querySelector(".profile-handles");
  const rows = () => [...box.querySelectorAll("tbody tr")].map((row) => row.querySelectorAll("input"));
  if (rows().some(([r]) => r.disabled)) continue;
  const read = (input) => { const text = input.value.trim().replace(",", "."); return text === "" || isNaN(text) ? null : Number(text); };
  const points = () => rows().map(([r, y], number) => ({ number, r: read(r), y: read(y) })).filter((p) => p.r !== null && p.y !== null);
  function draw() {
    const found = points();
    line.setAttribute("points", found.map((p) => `${p.y},${-p.r}`).join(" "));
    group.replaceChildren(...found.map((p) => {
      const dot = document.createElementNS("http://www.w3.org/2000/svg", "circle");
      dot.setAttribute("cx", p.y); dot.setAttribute("cy", -p.r); dot.setAttribute("r", 4); dot.dataset.number = p.number;
      return dot;
    }));
  }
  function at(event) {
    const spot = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
    return { r: Math.max(0, Math.round(-spot.y * 2) / 2), y: Math.round(spot.x * 2) / 2 };
  }
  function put(number, place) {
    const [r, y] = rows()[number];
    r.value = place.r; y.value = place.y; draw();
  }
  let held = null;
  svg.addEventListener("pointerdown", (event) => {
    const dot = event.target.closest("circle[data-number]");
    if (dot) held = Number(dot.dataset.number);
    else {
      const free = rows().findIndex(([r, y]) => r.value === "" && y.value === "");
      if (free < 0) return;
      held = free; put(free, at(event));
    }
    svg.setPointerCapture(event.pointerId); event.preventDefault();
  });
  svg.addEventListener("pointermove", (event) => { if (held !== null) put(held, at(event)); });
  svg.addEventListener("pointerup", () => { held = null; });
  svg.addEventListener("pointercancel", () => { held = null; });
  box.addEventListener("input", draw);
  draw();
}
// All rows of a list ticked at once.
for (const all of document.querySelectorAll("[data-tick-all]")) {
  all.hidden = false;
  all.addEventListener("click", () => {
    const boxes = [...document.querySelectorAll('input[name="keys"]')], on = boxes.some((one) => !one.checked);
    for (const one of boxes) one.checked = on;
  });
}
