// Recordings on the job card: several files at once with progress, and how far the measuring is. Without this script
// the form still takes files in, and a reload shows how far it is.

const ASK_EVERY_MS = 700;

for (const form of document.querySelectorAll("form[data-upload]")) {
  const chooser = form.querySelector("input[type=file]");
  const drop = form.querySelector(".drop");
  for (const kind of ["dragenter", "dragover"]) {
    drop.addEventListener(kind, (event) => {
      event.preventDefault();
      drop.classList.add("over");
    });
  }
  for (const kind of ["dragleave", "drop"]) {
    drop.addEventListener(kind, (event) => {
      event.preventDefault();
      drop.classList.remove("over");
    });
  }
  drop.addEventListener("drop", (event) => takeIn(form, [...event.dataTransfer.files]));
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    takeIn(form, [...chooser.files]);
  });
}

async function takeIn(form, files) {
  const rows = files.map((file) => addRow(form, file));
  let refused = 0;
  for (const [index, file] of files.entries()) {
    refused += (await send(form, file, rows[index])) ? 0 : 1;
  }
  form.querySelector("input[type=file]").value = "";
  if (files.length > refused && refused === 0) showAgain(`${form.dataset.stage}-recordings`);
}

function addRow(form, file) {
  const row = document.createElement("div");
  row.className = "upload";
  const words = document.createElement("p");
  words.textContent = `${file.name}: waiting`;
  const bar = document.createElement("progress");
  bar.max = 1;
  bar.value = 0;
  bar.setAttribute("aria-label", `Taking in ${file.name}`);
  row.append(words, bar);
  form.querySelector(".uploads").append(row);
  return { words, bar };
}

function send(form, file, row) {
  const query = new URLSearchParams({ stage: form.dataset.stage, file_name: file.name });
  for (const name of ["disc", "rpm", "chain"]) query.set(name, form.elements[name].value);
  query.set("arm_lifted", form.elements.arm_lifted.checked);
  return new Promise((done) => {
    const request = new XMLHttpRequest();
    request.open("POST", `${form.dataset.upload}?${query}`);
    request.setRequestHeader("Content-Type", "application/octet-stream");
    request.upload.onprogress = (event) => {
      row.bar.value = event.total ? event.loaded / event.total : 0;
      row.words.textContent = `${file.name}: ${Math.round(100 * row.bar.value)} % sent`;
    };
    request.onerror = () => finish(false, "not taken in: the bench computer does not answer. Send it again.");
    request.onload = () => {
      const kept = request.status === 201;
      finish(kept, kept ? "taken in" : `not taken in. ${messageOf(request)}`);
    };
    const finish = (kept, words) => {
      row.words.textContent = `${file.name}: ${words}`;
      row.words.classList.toggle("wrong", !kept);
      row.bar.hidden = true;
      done(kept);
    };
    request.send(file);
  });
}

function messageOf(request) {
  try {
    return JSON.parse(request.responseText).message;
  } catch {
    return `The answer was ${request.status}.`;
  }
}

function showAgain(anchor) {
  history.replaceState(null, "", `#${anchor}`);
  location.reload();
}

async function follow(list) {
  const waiting = [...list.querySelectorAll("[data-recording]")].filter((one) =>
    ["stored", "measuring"].includes(one.dataset.state));
  if (waiting.length === 0) return;
  try {
    const answer = await fetch(list.dataset.recordings, { headers: { Accept: "application/json" } });
    if (answer.ok) {
      const states = new Map((await answer.json()).map((one) => [String(one.id), one]));
      for (const row of waiting) {
        const now = states.get(row.dataset.recording);
        if (!now) continue;
        if (!["stored", "measuring"].includes(now.state)) {
          if (!typing()) return showAgain(row.closest("[id$=-recordings]").id);
          row.querySelector("[data-progress-words]").textContent = "Measured. Load the page again to see it.";
          row.dataset.state = now.state;
          continue;
        }
        const bar = row.querySelector("progress");
        if (now.share > 0) bar.value = now.share;
        row.querySelector("[data-progress-words]").textContent = `${now.words}. It goes on by itself; this page may be closed.`;
      }
    }
  } catch {
    // the bench computer is away for a moment; ask again
  }
  setTimeout(() => follow(list), ASK_EVERY_MS);
}

function typing() {
  const field = document.activeElement?.closest("input, textarea, select");
  return field && field.value !== field.defaultValue && field.type !== "file";
}

for (const list of document.querySelectorAll("[data-recordings]")) follow(list);
