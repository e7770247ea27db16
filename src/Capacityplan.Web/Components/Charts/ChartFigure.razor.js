// Tells a chart how wide it is and whether it is in view. A chart out of view waits until it is scrolled to, or until
// typing has paused, so that the charts being looked at are drawn first.
const pause = 1000;
const charts = new WeakMap();

// A figure may be taken off the page while its first drawing is on its way: nothing is left to draw it on, and nothing is wrong.
addEventListener('unhandledrejection', event => {
  if (/^No DOM element with id 'PlotlyChart/.test(event.reason?.message))
    event.preventDefault();
});

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
