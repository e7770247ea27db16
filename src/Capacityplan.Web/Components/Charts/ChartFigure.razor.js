import { move } from '../../js/moves.js';

// Tells a chart how wide it is and whether it is in view. A chart out of view waits until it is scrolled to, or until
// typing has paused, so that the charts being looked at are drawn first.
const pause = 1000;
const charts = new WeakMap();

// The plotting script draws what waited for it in one go once it is there, and what is asked of it later by the id of an
// element. A figure taken off the page meanwhile would make it throw, and keep those after it from being drawn: that there is
// nothing left to draw on is no fault.
const ifThere = draw => (id, ...rest) => typeof id === 'string' && !document.getElementById(id) ? Promise.resolve() : draw(id, ...rest);
const mindful = script => {
  script.PlotSchema.findArrayAttributes = remembering(script.PlotSchema.findArrayAttributes);
  return {
    ...script,
    newPlot: ifThere((id, data, layout, ...rest) => {
      const text = overtaking.get(id);
      overtaking.delete(id);
      const figure = text ? JSON.parse(text) : { data, layout };
      shown.set(id, structuredClone(figure));
      return script.newPlot(id, figure.data, figure.layout, ...rest);
    }),
    purge: id => {
      for (const kept of [overtaking, waiting, shown]) kept.delete(id);
      clearTimeout(resting.get(id));
      resting.delete(id);
      return ifThere(script.purge)(id);
    },
  };
};

// By the ids of charts: figures that came before their chart was first drawn, those that are drawn soon, and what stands
// there; the script writes into what it is given. And the timers of those that have moved and are yet to be drawn.
const overtaking = new Map();
const waiting = new Map();
const shown = new Map();
const resting = new Map();

// A chart that has moved is drawn once it has stood for so long, milliseconds.
const rest = 300;

// So long a text makes a figure so large that the others are shown before it.
const large = 40000;

// A chart out of view is drawn when the page has nothing else to do, or after so long, milliseconds.
const patience = 1000;

// Draws a figure in the place of the one before it.
export function draw(id, text) {
  const plot = document.getElementById(id);
  if (!plot) return;
  clearTimeout(resting.get(id));
  if (plot._fullLayout)
    drawSoon(id, { text, mayMove: true });
  else
    overtaking.set(id, text);
}

// Moves what is drawn to a figure that is soon followed by one that stays, where it can be moved.
export function moveTo(id, text) {
  if (shown.has(id) && !waiting.has(id) && isInView(id))
    drawSoon(id, { text, mayMove: true, mayDraw: false });
}

// Charts in view whose figures come together are drawn together: a page that is painted after each of them shows the last one
// later. Each of the others keeps the page busy on its own, so that what is typed meanwhile is not kept waiting for all.
let isDue = false;
let isDueOnceIdle = false;
function drawSoon(id, figure) {
  waiting.set(id, figure);
  if (isInView(id)) {
    if (isDue) return;
    isDue = true;
    whenPainted(() => {
      isDue = false;
      const inView = [...waiting].filter(([other]) => isInView(other));
      const small = inView.filter(([, { text }]) => text.length <= large);
      drawWaiting(small.length ? small : inView);
    });
  } else if (!isDueOnceIdle) {
    isDueOnceIdle = true;
    whenIdle(() => {
      isDueOnceIdle = false;
      drawWaiting([...waiting].slice(0, 1));
    });
  }
}

const isInView = id => charts.get(document.getElementById(id)?.closest('.plot'))?.inView ?? true;

// A page that is not seen is not painted either, and not every browser tells when it is idle.
const whenPainted = next => document.hidden ? setTimeout(next) : requestAnimationFrame(next);
const whenIdle = next => window.requestIdleCallback ? requestIdleCallback(next, { timeout: patience }) : setTimeout(next, 50);

function drawWaiting(now) {
  try {
    for (const [id, { text, mayMove, mayDraw = true }] of now) {
      waiting.delete(id);
      const plot = document.getElementById(id);
      if (!plot) continue;
      const figure = JSON.parse(text);
      if (mayMove && shown.has(id) && isInView(id) && move(plot, shown.get(id), figure)) {
        shown.set(id, figure);
        clearTimeout(resting.get(id));
        resting.set(id, setTimeout(() => drawSoon(id, { text, mayMove: false }), rest));
        continue;
      }

      if (!mayDraw) continue;

      shown.set(id, JSON.parse(text));
      // The script takes away no strokes between the traces, it only draws each anew: those that are no more would stay.
      const strokes = figure.layout.shapes?.length ?? 0;
      for (const stroke of plot.querySelectorAll('.shapelayer [data-index]')) {
        if (Number(stroke.dataset.index) >= strokes) stroke.remove();
      }

      // The script asks how large the chart is, for charts that stretch with the page, which ours do not. The browser would
      // have to lay the whole page out for the answer once a chart has been drawn.
      plot._context._hasZeroHeight = plot._context._hasZeroWidth = true;
      window.Plotly.react(plot, kept(plot.data, figure.data), kept(plot.layout, figure.layout));
    }
  } finally {
    // What is left is for another time, or comes after one that failed, which is told of by itself.
    for (const [id, figure] of [...waiting]) drawSoon(id, figure);
  }
}

// The script tells by identity whether an array has changed, and draws only what has. What comes from the server is always
// new, so an array that says what the old one said gives way to it.
function kept(old, now) {
  if (now === null || typeof now !== 'object' || old === null || typeof old !== 'object')
    return now;
  let same = Array.isArray(now) && Array.isArray(old) && now.length === old.length;
  for (const [key, value] of Object.entries(now)) {
    now[key] = kept(old[key], value);
    same &&= now[key] === old[key];
  }
  return same ? old : now;
}

// The script looks through all that a trace of its kind can have for what this one has as an array, each time anew. The
// answer depends on nothing but where the trace has arrays.
function remembering(find) {
  const known = new Map();
  return trace => {
    const arrays = arraysIn(trace, trace.type);
    if (!known.has(arrays)) known.set(arrays, find(trace));
    return [...known.get(arrays)];
  };
}

function arraysIn(part, path) {
  let found = '';
  for (const key in part) {
    const value = part[key];
    // What begins so is the script's own, and leads everywhere.
    if (key[0] === '_' || value === null || typeof value !== 'object') continue;
    if (Array.isArray(value) || ArrayBuffer.isView(value)) found += `${path}.${key};`;
    else if (value.constructor === Object) found += arraysIn(value, `${path}.${key}`);
  }
  return found;
}

if (window.Plotly) {
  window.Plotly = mindful(window.Plotly);
} else {
  Object.defineProperty(window, 'Plotly', {
    configurable: true,
    set(script) {
      Object.defineProperty(window, 'Plotly', { value: mindful(script), configurable: true, writable: true });
    },
  });
}

export function observe(element, figure) {
  const chart = { figure, inView: false, width: 0, told: null, timer: 0 };
  const tell = () => {
    if (!chart.width) return;
    const now = `${chart.width} ${chart.inView}`;
    if (now === chart.told) return;
    chart.told = now;
    figure.invokeMethodAsync('Seen', chart.width, chart.inView);
  };

  chart.sight = new IntersectionObserver(entries => {
    chart.inView = entries[entries.length - 1].isIntersecting;
    // What waits until the page is idle is looked at now.
    const id = element.querySelector('.js-plotly-plot')?.id;
    if (chart.inView && waiting.has(id)) drawSoon(id, waiting.get(id));
    tell();
  }, { rootMargin: '48px 0px' });
  chart.size = new ResizeObserver(() => {
    // A frame later, so that a window being dragged is followed and not flooded.
    cancelAnimationFrame(chart.frame);
    chart.frame = requestAnimationFrame(() => {
      chart.width = Math.floor(element.clientWidth);
      tell();
    });
  });
  chart.size.observe(element);
  chart.sight.observe(element);
  charts.set(element, chart);
}

// A chart that is drawn anew for the stretch looked at hears which one was drawn across it with the pointer.
export function tellOfStretches(element, figure) {
  element.addEventListener('pointerdown', () => {
    const plot = element.querySelector('.js-plotly-plot');
    if (!plot?.on || plot.tellsOfStretches) return;
    plot.tellsOfStretches = true;
    plot.on('plotly_relayout', change => {
      const [from, to] = [change['xaxis.range[0]'], change['xaxis.range[1]']];
      if (from !== undefined && to !== undefined) figure.invokeMethodAsync('Stretched', Number(from), Number(to));
    });
    plot.on('plotly_doubleclick', () => { figure.invokeMethodAsync('Stretched', null, null); });
  }, true);
}

export function drawLater(element) {
  const chart = charts.get(element);
  if (!chart) return;
  clearTimeout(chart.timer);
  chart.timer = setTimeout(() => chart.figure.invokeMethodAsync('DrawNow'), pause);
}

export function forget(element) {
  const chart = charts.get(element);
  if (!chart) return;
  clearTimeout(chart.timer);
  cancelAnimationFrame(chart.frame);
  chart.sight.disconnect();
  chart.size.disconnect();
  charts.delete(element);
}
