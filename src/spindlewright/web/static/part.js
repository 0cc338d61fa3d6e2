// Fetches a page and puts one part of it in the place of the same part here. The page works without this, too.

let asked = 0;

/** Replaces the element with this id by that of the page at `address`; false when a later call overtook it. */
export async function replacePart(id, address) {
  const mine = ++asked;
  const answer = await fetch(address, { headers: { Accept: "text/html" } });
  const html = await answer.text();
  if (mine !== asked || !answer.ok) return false;
  const fresh = new DOMParser().parseFromString(html, "text/html").getElementById(id);
  const here = document.getElementById(id);
  if (!fresh || !here) {
    location.assign(address);
    return false;
  }
  here.replaceWith(document.adoptNode(fresh));
  return true;
}
