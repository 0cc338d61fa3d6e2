// The course of a count: one level line a tap, from least to most the speed can be, newest at the bottom.

const SVG = "http://www.w3.org/2000/svg";
const WIDTH = 400;
const TOP = 8;
const BOTTOM = 215;
const MARGIN = 24;
const STEPS_PERCENT = [0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100];
const MOST_LINES = 20;

function add(svg, name, attributes, text = "") {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  made.textContent = text;
  svg.append(made);
}

/** Half the width of the drawing in percent: the first round figure that holds the newest line and most others. */
function reach(steps) {
  const ends = steps.map((step) => Math.abs(step.deviation_percent) + step.deviation_uncertainty_percent);
  const wanted = Math.max(ends.at(-1), [...ends].sort((a, b) => a - b)[Math.floor(ends.length * 0.8)]);
  return STEPS_PERCENT.find((round) => round >= wanted) ?? 100;
}

export function drawCourse(svg, course) {
  const steps = course.slice(-MOST_LINES);
  const half = reach(steps);
  const x = (percent) => {
    const place = WIDTH / 2 + (percent / half) * (WIDTH / 2 - MARGIN);
    return Math.min(WIDTH, Math.max(0, place)).toFixed(1);
  };
  svg.replaceChildren();
  for (const percent of [-half, -half / 2, half / 2, half]) {
    add(svg, "line", { class: "scale", x1: x(percent), x2: x(percent), y1: TOP, y2: BOTTOM });
  }
  for (const percent of [-half, 0, half]) {
    const words = percent ? `${percent > 0 ? "+" : "−"}${half} %` : "right";
    add(svg, "text", { x: x(percent), y: BOTTOM + 22 }, words);
  }
  const apart = (BOTTOM - TOP) / MOST_LINES;
  steps.forEach((step, index) => {
    const y = (TOP + apart * (index + 0.5)).toFixed(1);
    add(svg, "line", {
      class: index === steps.length - 1 ? "newest" : "",
      x1: x(step.deviation_percent - step.deviation_uncertainty_percent),
      x2: x(step.deviation_percent + step.deviation_uncertainty_percent),
      y1: y,
      y2: y,
    });
  });
  add(svg, "line", { class: "right", x1: x(0), x2: x(0), y1: TOP, y2: BOTTOM });
}
