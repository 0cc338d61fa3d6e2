// Cross-hair over a chart: by mouse, by touch, by arrow keys. It computes nothing; it shows a row of the chart's own table.

const SVG = "http://www.w3.org/2000/svg";

function element(name, classes) {
  const made = document.createElementNS(SVG, name);
  made.setAttribute("class", classes);
  return made;
}

/** The drawing that is shown at this width. */
function shownDrawing(plot) {
  return [...plot.querySelectorAll("svg")].find((svg) => svg.getClientRects().length > 0);
}

/** The plot's box in the drawing's own units. */
function boxOf(svg) {
  const [left, top, width, height] = svg.dataset.plot.split(" ").map(Number);
  return { left, top, width, height };
}

function nearest(places, wanted) {
  let best = 0;
  places.forEach((place, index) => {
    if (Math.abs(place - wanted) < Math.abs(places[best] - wanted)) best = index;
  });
  return best;
}

function withUnit(heading, cell) {
  const text = cell.textContent;
  const unit = /\d/.test(text) ? heading.dataset.unit : "";
  return unit ? `${text}${unit === "°" ? "" : " "}${unit}` : text;
}

class ReadOut {
  constructor(figure) {
    this.kind = figure.dataset.readOut;
    this.plot = figure.querySelector("[data-chart-plot]");
    this.words = figure.querySelector("[data-chart-words]");
    this.headings = [...figure.querySelectorAll("thead th")];
    this.rows = [...figure.querySelectorAll("tbody tr")];
    this.at = this.rows.map((row) => Number(row.dataset.at));
    this.across = this.headings.slice(1).map((heading) => Number(heading.dataset.across));
    this.row = null;
    this.column = 0;
    this.makeReady(figure.querySelector(".chart-title").textContent);
  }

  makeReady(title) {
    const keys = { rows: "↑ ↓", map: "← → ↑ ↓", along: "← →" }[this.kind];
    const inWords = { rows: "up and down", map: "all four arrow keys", along: "left and right" }[this.kind];
    this.plot.tabIndex = 0;
    this.plot.setAttribute("role", "group");
    this.plot.setAttribute("aria-label", `${title}: read it out with the arrow keys, ${inWords}`);
    this.words.hidden = false;
    this.words.textContent = `Point at it, or use ${keys}`;
    this.plot.addEventListener("pointermove", (event) => this.point(event));
    this.plot.addEventListener("pointerdown", (event) => this.point(event));
    this.plot.addEventListener("keydown", (event) => this.press(event));
    window.addEventListener("resize", () => this.row !== null && this.draw());
  }

  point(event) {
    const svg = shownDrawing(this.plot);
    if (!svg) return;
    const box = boxOf(svg);
    const outline = svg.getBoundingClientRect();
    const scale = svg.viewBox.baseVal.width / outline.width;
    const x = ((event.clientX - outline.left) * scale - box.left) / box.width;
    const y = ((event.clientY - outline.top) * scale - box.top) / box.height;
    const inside = (share) => share > -0.05 && share < 1.05;
    if (!inside(x) || !inside(y)) return;
    const column = this.kind === "map" ? nearest(this.across, x) : 0;
    this.show(nearest(this.at, this.kind === "along" ? x : y), column);
  }

  press(event) {
    const last = this.rows.length - 1;
    const [back, on] = this.kind === "along" ? ["ArrowLeft", "ArrowRight"] : ["ArrowUp", "ArrowDown"];
    const far = Math.max(1, Math.round(this.rows.length / 10));
    const steps = { [back]: -1, [on]: 1, PageUp: -far, PageDown: far, Home: -Infinity, End: Infinity };
    const sideways = this.kind === "map" ? { ArrowLeft: -1, ArrowRight: 1 } : {};
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    if (!(event.key in steps) && !(event.key in sideways)) return;
    event.preventDefault();
    if (this.row === null) {
      this.show(event.key === "End" ? last : 0, 0);
      return;
    }
    const row = Math.min(last, Math.max(0, this.row + (steps[event.key] ?? 0)));
    const column = Math.min(this.across.length - 1, Math.max(0, this.column + (sideways[event.key] ?? 0)));
    this.show(row, column);
  }

  show(row, column) {
    if (row === this.row && column === this.column) return;
    this.row = row;
    this.column = column;
    this.draw();
    this.words.textContent = this.sentence();
    this.words.classList.add("chart-read-out-used");
  }

  sentence() {
    const cells = [...this.rows[this.row].cells];
    const wanted = this.kind === "map" ? [0, this.column + 1] : cells.map((_, index) => index);
    return wanted
      .filter((index) => cells[index].textContent !== "")
      .map((index) => `${this.headings[index].dataset.name} ${withUnit(this.headings[index], cells[index])}`)
      .join(" · ");
  }

  draw() {
    for (const old of this.plot.querySelectorAll(".chart-hair")) old.remove();
    const svg = shownDrawing(this.plot);
    if (!svg) return;
    const { left, top, width, height } = boxOf(svg);
    const place = this.at[this.row];
    if (this.kind === "along") {
      svg.append(this.line(left + place * width, top, left + place * width, top + height));
      return;
    }
    const tall = height / this.rows.length;
    const hair = element("rect", "chart-hair chart-hair-box");
    const across = this.kind === "map" ? this.across : [0.5];
    const wide = width / across.length;
    hair.setAttribute("x", left + across[this.column] * width - wide / 2);
    hair.setAttribute("y", top + place * height - tall / 2);
    hair.setAttribute("width", wide);
    hair.setAttribute("height", tall);
    svg.append(hair);
  }

  line(x1, y1, x2, y2) {
    const hair = element("line", "chart-hair");
    Object.entries({ x1, y1, x2, y2 }).forEach(([name, value]) => hair.setAttribute(name, value));
    return hair;
  }
}

for (const figure of document.querySelectorAll("figure.chart")) {
  if (figure.dataset.readOut !== "none") new ReadOut(figure);
}
