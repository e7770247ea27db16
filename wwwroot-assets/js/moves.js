// Moves what a drawn chart shows to where another figure has it, where nothing but places has changed: curves, bands, marks,
// strokes. The plotting script takes some twenty times as long, since it works out anew what a chart looks like. It draws the
// figure all the same once nothing has moved for a while: what is read under the pointer is its own.

// What may differ between two figures: where things are, and what is read under the pointer.
const placesOfTraces = ['x', 'y', 'hovertext'];
const placesOfShapes = ['x0', 'x1', 'y0', 'y1', 'path'];
const placesOfAxes = ['range', 'tickvals'];
const placesOfLayouts = ['shapes', 'xaxis', 'yaxis'];

// Moves a chart from one figure to another.
// Returns false, and leaves the chart as it is, where more has changed or the chart is not drawn as expected.
export function move(plot, from, to) {
  const drawn = plot._fullLayout;
  // One that can be looked at closer may be.
  if (!plot.calcdata || !drawn.xaxis?.fixedrange || !sameBut(placesOfLayouts, from.layout, to.layout)
    || from.data.length !== to.data.length || (from.layout.shapes ?? []).length !== (to.layout.shapes ?? []).length)
    return false;

  const frame = {
    size: drawn._size,
    x: axisOf(drawn.xaxis, to.layout.xaxis, share => share),
    y: axisOf(drawn.yaxis, to.layout.yaxis, share => 1 - share),
  };
  const edits = [];
  const isMoved = frame.x && frame.y
    && moveTicks(plot, 'x', from.layout.xaxis, to.layout.xaxis, frame.x, place => `translate(${place},0)`, edits)
    && moveTicks(plot, 'y', from.layout.yaxis, to.layout.yaxis, frame.y, place => `translate(0,${place})`, edits)
    && to.data.every((trace, index) => moveTrace(plot, index, from, to, frame, edits))
    && (to.layout.shapes ?? []).every((shape, index) => moveShape(plot, index, from, to, frame, edits));
  if (isMoved) {
    for (const [element, attribute, value] of edits)
      element.setAttribute(attribute, value);
  }

  return isMoved;
}

// An axis as it will be: where it begins on the page, how long it is, and where values lie along it, in pixels.
function axisOf({ _offset: start, _length: length }, { type, range }, along) {
  const scale = type === 'log' ? value => value > 0 ? Math.log10(value) : NaN : value => value;
  // The script rounds to hundredths.
  return range && {
    range, scale, start, length,
    place: value => value === null ? NaN : Math.round(100 * length * along((scale(value) - range[0]) / (range[1] - range[0]))) / 100,
  };
}

const isSameAxis = (from, to) => placesOfAxes.every(part => same(from.layout.xaxis[part], to.layout.xaxis[part]) && same(from.layout.yaxis[part], to.layout.yaxis[part]));

function moveTicks(plot, letter, from, to, axis, transform, edits) {
  if (!sameBut(placesOfAxes, from, to))
    return false;
  if (same(from, to))
    return true;
  const [low, high] = axis.range;
  const values = (to.tickvals ?? []).filter(value => axis.scale(value) >= low && axis.scale(value) <= high).sort((one, other) => one - other);
  return ['grid', 'tick'].every(kind => {
    const strokes = [...plot.querySelectorAll(`path.${letter}${kind}`)].sort((one, other) => one.__data__?.x - other.__data__?.x);
    if (strokes.length && strokes.length !== values.length)
      return false;
    strokes.forEach((stroke, at) => edits.push([stroke, 'transform', transform(axis.start + axis.place(values[at]))]));
    return true;
  });
}

function moveTrace(plot, index, fromFigure, toFigure, frame, edits) {
  const [from, to] = [fromFigure.data[index], toFigure.data[index]];
  if (!sameBut(placesOfTraces, from, to))
    return false;
  const isMarked = to.mode?.includes('markers') && to.marker?.opacity !== 0;
  const isLined = to.mode?.includes('lines') && to.line?.width !== 0;
  const isFilled = (to.fill ?? 'none') !== 'none';
  const isSeen = to.type !== 'scatter' || isMarked || isLined || isFilled;
  if (!isSeen || same(from.x, to.x) && same(from.y, to.y) && isSameAxis(fromFigure, toFigure))
    return true;
  const group = plot.calcdata[index]?.[0]?.node3?.node();
  if (to.type !== 'scatter' || isFilled && to.fill !== 'toself' || (to.line?.shape ?? 'linear') !== 'linear' || !group)
    return false;

  const pieces = piecesOf(to, frame);
  if (isLined) {
    const lines = group.querySelectorAll('.lines > .js-line');
    if (lines.length !== pieces.length)
      return false;
    pieces.forEach((piece, at) => edits.push([lines[at], 'd', path(piece)]));
  }

  if (isFilled) {
    const fills = group.querySelectorAll('.fills .js-fill');
    if (fills.length !== 1 || !pieces.length)
      return false;
    edits.push([fills[0], 'd', `${pieces.map(path).join('Z')}Z`]);
  }

  if (isMarked) {
    const marks = group.querySelectorAll('.points > .point');
    const places = pieces.flat();
    // The script does not show a mark off the axes.
    if (marks.length !== places.length || !places.every(([x, y]) => x >= 0 && x <= frame.x.length && y >= 0 && y <= frame.y.length))
      return false;
    places.forEach(([x, y], at) => edits.push([marks[at], 'transform', `translate(${x},${y})`]));
  }

  return true;
}

// A trace's points in pixels, in pieces between its gaps.
function piecesOf(trace, frame) {
  const pieces = [[]];
  trace.x.forEach((value, index) => {
    const place = [frame.x.place(value), frame.y.place(trace.y[index])];
    if (place.every(Number.isFinite))
      pieces.at(-1).push(place);
    else if (pieces.at(-1).length)
      pieces.push([]);
  });
  return pieces.filter(piece => piece.length);
}

const path = piece => `M${piece.join('L')}`;

function moveShape(plot, index, fromFigure, toFigure, frame, edits) {
  const [from, to] = [fromFigure.layout.shapes[index], toFigure.layout.shapes[index]];
  if (!sameBut(placesOfShapes, from, to))
    return false;
  if (same(from, to) && isSameAxis(fromFigure, toFigure))
    return true;
  const drawn = plot.querySelectorAll(`path[data-index="${index}"]`);
  const d = shapePath(to, frame);
  if (drawn.length !== 1 || !d)
    return false;
  edits.push([drawn[0], 'd', d]);
  return true;
}

// A shape in pixels; null where it is of a kind that is not moved.
function shapePath(shape, { size, x: across, y: upright }) {
  const x = shape.xref === 'x' ? value => across.start + across.place(value) : shape.xref === 'paper' ? share => size.l + share * size.w : null;
  const y = shape.yref === 'y' ? value => upright.start + upright.place(value) : shape.yref === 'paper' ? share => size.t + (1 - share) * size.h : null;
  if (!x || !y) return null;
  switch (shape.type) {
    case 'line': return `M${x(shape.x0)},${y(shape.y0)}L${x(shape.x1)},${y(shape.y1)}`;
    case 'rect': return `M${x(shape.x0)},${y(shape.y0)}H${x(shape.x1)}V${y(shape.y1)}H${x(shape.x0)}Z`;
    case 'path': return /^(?:[ML][-+\d.eE]+,[-+\d.eE]+|Z)*$/.test(shape.path)
      ? shape.path.replace(/([ML])([^,]+),([^MLZ]+)/g, (_, to, left, up) => `${to}${x(Number(left))},${y(Number(up))}`)
      : null;
    default: return null;
  }
}

// True where two records have the same parts, except for what some of them say.
function sameBut(free, one, other) {
  const keys = Object.keys(one);
  return keys.length === Object.keys(other).length
    && keys.every(key => key in other && (free.includes(key) || same(one[key], other[key])));
}

function same(one, other) {
  if (one === other) return true;
  if (one === null || other === null || typeof one !== 'object' || typeof other !== 'object' || Array.isArray(one) !== Array.isArray(other))
    return false;
  const keys = Object.keys(one);
  return keys.length === Object.keys(other).length && keys.every(key => same(one[key], other[key]));
}
