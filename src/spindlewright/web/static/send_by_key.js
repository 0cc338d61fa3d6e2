// Ctrl+Enter sends the form one is typing in, from a field of several lines too.

document.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || !(event.ctrlKey || event.metaKey)) return;
  const form = event.target.closest("form");
  if (!form) return;
  event.preventDefault();
  form.requestSubmit();
});
