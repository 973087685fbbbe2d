/** A sweep's map, cell by cell under cursor or keys, and its front. Dark is good; what stalls is hatched, not only coloured. */
import { formatNumber } from '../../report/numbers.js';
import type { PageAxis, PageCell, PageSweep } from '../../report/page-payload.js';
import { type Shape, shape } from '../../report/svg/drawing.js';
import { drawFront as frontShapes, named } from '../../report/svg/front-picture.js';
import { mapWords, scoreOf, type Shading, shadingOf } from '../../report/svg/map-picture.js';
import { el } from './dom.js';
import { colour, inkOf, onLook } from './look.js';

const CELL_MOST = 36;
const SVG = 'http://www.w3.org/2000/svg';

const valueText = ({ unit }: PageAxis, value: number): string => `${formatNumber(value)}${unit === '' ? '' : ` ${unit}`}`;
const shortKey = (key: string): string => key.split('.').slice(-2).join(' ');

function cellText(cell: PageCell): string {
  if (typeof cell === 'number') return `score ${formatNumber(cell, 'score')}`;
  if (typeof cell === 'object') return `misses a limit, score ${formatNumber(cell.missed, 'score')}`;
  return cell === 'stalled' ? 'stalls' : cell === 'notRun' ? 'could not be run' : 'not reached';
}

/** The map. */
export function drawMap(host: HTMLElement, { map }: PageSweep): void {
  if (map === null) return;
  const { x, y, rows } = map;
  const canvas = el('canvas', { 'aria-hidden': 'true' });
  const said = el('p', { class: 'said', 'aria-live': 'polite' }, 'Arrow keys, or a pointer, tell each square.');
  const shading = shadingOf(map);
  let at = { i: 0, j: 0 };
  const place = el('div', { class: 'squares', tabindex: 0, role: 'group', 'aria-label': `Map of scores: ${x.key} across, ${y.key} up` }, canvas);
  host.append(el('p', { class: 'axis' }, `across: ${x.key}, ${valueText(x, x.values[0]!)} to ${valueText(x, x.values.at(-1)!)} · up: ${y.key}, ${valueText(y, y.values[0]!)} to ${valueText(y, y.values.at(-1)!)}`), place,
    el('p', { class: 'axis' }, mapWords(map)), said);
  const size = (): number => Math.max(3, Math.min(CELL_MOST, Math.floor((place.clientWidth - 2) / x.values.length)));
  const draw = (): void => {
    const [each, ratio] = [size(), devicePixelRatio];
    canvas.width = each * x.values.length * ratio;
    canvas.height = each * y.values.length * ratio;
    canvas.style.width = `${each * x.values.length}px`;
    canvas.style.height = `${each * y.values.length}px`;
    const ctx = canvas.getContext('2d')!;
    ctx.scale(ratio, ratio);
    ctx.fillStyle = colour('paper');
    ctx.fillRect(0, 0, canvas.width, canvas.height);
    rows.forEach((row, j) => row.forEach((cell, i) => square(ctx, cell, i * each, (rows.length - 1 - j) * each, each, shading)));
    ctx.strokeStyle = colour('bad');
    ctx.lineWidth = 2;
    ctx.strokeRect(at.i * each + 1, (rows.length - 1 - at.j) * each + 1, each - 2, each - 2);
  };
  const tell = (i: number, j: number): void => {
    at = { i: Math.max(0, Math.min(x.values.length - 1, i)), j: Math.max(0, Math.min(rows.length - 1, j)) };
    said.textContent = `${shortKey(x.key)} ${valueText(x, x.values[at.i]!)}, ${shortKey(y.key)} ${valueText(y, y.values[at.j]!)}: ${cellText(rows[at.j]![at.i]!)}`;
    draw();
  };
  const MOVES: Readonly<Record<string, readonly [number, number]>> = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
  place.addEventListener('keydown', (event) => {
    const move = MOVES[event.key];
    if (move === undefined) return;
    event.preventDefault();
    tell(at.i + move[0], at.j + move[1]);
  });
  canvas.addEventListener('pointermove', (event) => {
    const box = canvas.getBoundingClientRect();
    tell(Math.floor((event.clientX - box.left) / size()), rows.length - 1 - Math.floor((event.clientY - box.top) / size()));
  });
  onLook(draw);
  new ResizeObserver(draw).observe(place);
}

function square(ctx: CanvasRenderingContext2D, cell: PageCell, x: number, y: number, each: number, shading: Shading | null): void {
  const score = scoreOf(cell);
  const inner = each > 5 ? each - 1 : each;
  if (score !== null) {
    ctx.globalAlpha = shading?.shade(score) ?? 1;
    ctx.fillStyle = inkOf('speed');
    if (typeof cell === 'number') ctx.fillRect(x, y, inner, inner);
    else {
      ctx.lineWidth = Math.max(1, each / 6);
      ctx.strokeStyle = inkOf('speed');
      ctx.strokeRect(x + each / 5, y + each / 5, inner - each / 2.5, inner - each / 2.5);
    }
    ctx.globalAlpha = 1;
  } else if (cell === 'stalled') {
    ctx.strokeStyle = colour('faint');
    ctx.lineWidth = 1;
    ctx.beginPath();
    ctx.moveTo(x + 1, y + 1);
    ctx.lineTo(x + inner - 1, y + inner - 1);
    ctx.moveTo(x + inner - 1, y + 1);
    ctx.lineTo(x + 1, y + inner - 1);
    ctx.stroke();
  }
}

/** A drawing as elements. */
function element({ tag, attributes, children }: Shape): SVGElement {
  const made = document.createElementNS(SVG, tag) as SVGElement;
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, String(value));
  made.append(...children.map((child) => (typeof child === 'string' ? child : element(child))));
  return made;
}

/** The front: what cannot be bettered in one number without giving way in the other; the same as a table. */
export function drawFront(host: HTMLElement, { front, axes }: PageSweep): void {
  if (front === null || front.points.length === 0) {
    host.append(el('p', {}, 'No cell has both numbers of a front.'));
    return;
  }
  const [width, height] = [520, 320];
  const picture = element(shape('svg', { viewBox: `0 0 ${width} ${height}`, role: 'img', 'aria-label': `Front of ${named(front.x)} and ${named(front.y)}; the table below has its points` },
    ...frontShapes(front, { left: 60, right: width - 16, top: 24, bottom: height - 42 })));
  const points = [...front.points].sort((a, b) => a.x - b.x);
  const rows = points.slice(0, 60).map(({ x, y, values }) => el('tr', {}, el('td', { class: 'number' }, formatNumber(x, front.x.unit)), el('td', { class: 'number' }, formatNumber(y, front.y.unit)), ...values.map((value) => el('td', { class: 'number' }, formatNumber(value)))));
  host.append(picture, el('details', {}, el('summary', {}, `The front as a table${points.length > 60 ? `, its first 60 of ${points.length}` : ''}`),
    el('div', { class: 'box', tabindex: 0, role: 'region', 'aria-label': 'The front' }, el('table', {}, el('thead', {}, el('tr', {}, ...[named(front.x), named(front.y), ...axes.map(({ key, unit }) => `${key}${unit === '' ? '' : `, ${unit}`}`)].map((text) => el('th', { scope: 'col', class: 'number' }, text)))), el('tbody', {}, ...rows)))));
}
