// The job card by keyboard: the letter on a button answers the marked question; a place named in the address is
// opened and taken into view; the form of a hand reading shows the instrument and the cautions of what is chosen.

const questions = () => [...document.querySelectorAll("form.by-key")].filter(
  (form) => form.checkVisibility() && !form.querySelector("button[disabled]"));

let marked = null;

function mark(form) {
  marked?.classList.remove("marked");
  marked = form;
  marked?.classList.add("marked");
}

function open(place) {
  for (let around = place; around; around = around.parentElement) {
    if (around.tagName === "DETAILS") around.open = true;
  }
  const inner = place.matches("section.stage") ? place.querySelector(":scope > details") : null;
  if (inner) inner.open = true;
}

function goToAddress() {
  const place = location.hash.length > 1 ? document.getElementById(decodeURIComponent(location.hash.slice(1))) : null;
  if (!place) return;
  open(place);
  place.scrollIntoView({ block: "start" });
  if (place.tabIndex >= -1 && place.hasAttribute("tabindex")) place.focus({ preventScroll: true });
  mark(place.matches("form.by-key") ? place : place.querySelector("form.by-key.unanswered"));
}

addEventListener("hashchange", goToAddress);
document.addEventListener("focusin", (event) => {
  const form = event.target.closest("form.by-key");
  if (form) mark(form);
});

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented) return;
  if (event.target.closest("input, select, textarea, [contenteditable]")) return;
  if (event.key === "ArrowDown" || event.key === "ArrowUp") {
    if (!marked || !event.target.closest("form.by-key")) return;
    const all = questions();
    const next = all[all.indexOf(marked) + (event.key === "ArrowDown" ? 1 : -1)];
    if (next) {
      event.preventDefault();
      next.focus();
    }
    return;
  }
  const form = marked?.isConnected && marked.checkVisibility() ? marked : questions().find((one) => one.classList.contains("unanswered"));
  const button = form?.querySelector(`button[data-key="${CSS.escape(event.key.toLowerCase())}"]:not([disabled])`);
  if (button) {
    event.preventDefault();
    button.click();
  }
});

for (const choice of document.querySelectorAll("[data-hand-quantity]")) {
  const form = choice.form;
  const show = () => {
    const option = choice.selectedOptions[0];
    form.querySelector("[data-hand-instrument]").value = option.dataset.instrument;
    form.querySelector("[data-hand-hint]").textContent = option.dataset.hint || `In ${option.dataset.unit}.`;
    form.elements.channel.closest(".field").hidden = option.dataset.byChannel !== "yes";
    for (const block of form.querySelectorAll("[data-cautions-for]")) {
      block.hidden = block.dataset.cautionsFor !== choice.value;
    }
  };
  choice.addEventListener("change", show);
  show();
}

goToAddress();
