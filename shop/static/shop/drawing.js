// Handles on the side view: pulling one sets its number, and the form asks for the picture anew.
// Numbers alone do everything too, so nothing here is needed.
(() => {
  const form = document.getElementById("drawing");
  if (!form) return;
  let held = null;

  const inMillimetres = (svg, event) => {
    const point = new DOMPoint(event.clientX, event.clientY);
    return point.matrixTransform(svg.getScreenCTM().inverse());
  };

  form.addEventListener("pointerdown", (event) => {
    const handle = event.target.closest("[data-sets]");
    const field = handle && form.elements[handle.dataset.sets];
    if (!field) return;
    const svg = handle.ownerSVGElement;
    const at = inMillimetres(svg, event);
    const axis = handle.dataset.axis;
    held = { handle, field, svg, axis, sign: Number(handle.dataset.sign), from: at[axis],
      value: Number(field.value.replace(",", ".")), comma: field.value.includes(","),
      place: Number(handle.getAttribute("c" + axis)) };
    svg.setPointerCapture(event.pointerId);
    event.preventDefault();
  });

  form.addEventListener("pointermove", (event) => {
    if (!held) return;
    const by = inMillimetres(held.svg, event)[held.axis] - held.from;
    const value = String(Math.max(0, Math.round(held.value + held.sign * by)));
    held.handle.setAttribute("c" + held.axis, held.place + by);
    if (held.field.value !== value) held.field.value = value;
  });

  const letGo = () => {
    if (!held) return;
    const field = held.field;
    held = null;
    field.dispatchEvent(new Event("change", { bubbles: true }));
  };
  form.addEventListener("pointerup", letGo);
  form.addEventListener("pointercancel", letGo);

  const start = form.elements.start;
  if (start) start.addEventListener("change", (event) => {
    event.stopPropagation();
    const address = new URL(location.href);
    address.searchParams.set("start", start.value);
    location.assign(address);
  });
})();
