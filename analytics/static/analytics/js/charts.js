/** Draws every `figure[data-chart]` of the page from the JSON beside it, again where its room changes.

The tables below say the same; so what is drawn is hidden from those who listen, and where this
does not run the tables stand open.
*/

import { fitted } from "./charts/fit.js";
import { inked, takeTokens } from "./charts/ink.js";
import { locale, separators } from "./charts/language.js";

// A4 between margins of 15 mm, at 96 px an inch.
const PRINTED = 660;
const CONFIG = { staticPlot: true, displayModeBar: false, responsive: false, locale: locale.name };

class ChartFigure {
  constructor(figure) {
    this.figure = figure;
    this.place = figure.querySelector(".chart-drawing");
    this.told = JSON.parse(document.getElementById(figure.dataset.chart).textContent);
    this.width = 0;
  }

  /** Draw it `width` wide. All of it happens at once, so that a printer finds it done. */
  draw(width) {
    if (width < 1 || width === this.width) return;
    this.width = width;
    const { data, layout } = fitted(this.told, width, rem());
    Plotly.newPlot(this.place, inked(data), inked({ ...layout, separators }), CONFIG);
    takeTokens(this.place);
  }

  drawInItsRoom() {
    this.draw(Math.floor(this.place.clientWidth));
    if (this.width && !("drawn" in this.figure.dataset)) this.reveal();
  }

  /** The figure stands: its key belongs beside it, and the numbers behind it. */
  reveal() {
    this.figure.querySelector(".chart-key").hidden = false;
    this.figure.querySelector(".chart-numbers").open = false;
    this.figure.dataset.drawn = "";
  }
}

function rem() {
  return parseFloat(getComputedStyle(document.documentElement).fontSize) / 16 || 1;
}

/** Let the page answer a hand between two drawings. */
function pause() {
  return new Promise((go) => setTimeout(go));
}

async function begin() {
  Plotly.register(locale);
  const charts = new Map();
  let printing = false;
  const watch = new ResizeObserver((changes) => {
    if (printing) return;
    for (const change of changes) charts.get(change.target).drawInItsRoom();
  });
  for (const figure of document.querySelectorAll("figure[data-chart]")) {
    const chart = new ChartFigure(figure);
    charts.set(chart.place, chart);
  }
  window.addEventListener("beforeprint", () => {
    printing = true;
    for (const chart of charts.values()) chart.draw(PRINTED);
  });
  window.addEventListener("afterprint", () => {
    printing = false;
    for (const chart of charts.values()) chart.drawInItsRoom();
  });
  for (const chart of charts.values()) {
    if (!printing) chart.drawInItsRoom();
    watch.observe(chart.place);
    await pause();
  }
}

// Without the library the tables stay open; there is nothing else to do.
if (window.Plotly) begin();
