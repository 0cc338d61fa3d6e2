// New job: offers decks that were here before while one types; choosing one uses what is known of it.

const WAIT_MS = 150;
const deck = document.getElementById("deck");
const chosen = document.getElementById("deck_id");
const offered = document.getElementById("known-decks");
const ids = new Map();
let waiting;

function choose() {
  const id = ids.get(deck.value) ?? "";
  chosen.value = id;
  document.getElementById("known").hidden = id === "";
}

async function offer() {
  if (deck.value.trim().length < 2) return;
  const answer = await fetch(`/api/decks?${new URLSearchParams({ words: deck.value })}`);
  if (!answer.ok) return;
  const decks = await answer.json();
  decks.forEach((one) => ids.set(one.words, String(one.deck_id)));
  offered.replaceChildren(...decks.map((one) => new Option("", one.words)));
}

deck.addEventListener("input", () => {
  choose();
  clearTimeout(waiting);
  waiting = setTimeout(() => offer().catch(() => {}), WAIT_MS);
});
