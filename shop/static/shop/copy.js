// Buttons that copy what is typed into a bank's app. They stay hidden where the browser cannot copy.

if (navigator.clipboard?.writeText) {
  for (const button of document.querySelectorAll("button[data-copy]")) {
    const said = button.textContent;
    button.hidden = false;
    button.addEventListener("click", async () => {
      try {
        await navigator.clipboard.writeText(button.dataset.copy);
        button.textContent = button.dataset.done;
      } catch {
        button.textContent = button.dataset.failed;
      }
      window.setTimeout(() => { button.textContent = said; }, 4000);
    });
  }
}
