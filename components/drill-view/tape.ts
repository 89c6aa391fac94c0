/** Tape around parts with a fault, and tags that say what it is: armed has the frame alone, active has the tag too. */
import { html, nothing, svg } from 'lit';
import type { LiveFault } from '../../worker/api.ts';
import { DRAWING } from '../style/rows.ts';
import { PARTS, type Part, type PartId, partOf } from './parts.ts';
import { WORDS } from './words.ts';

const frame = ({ id, box: [x, y, w, h], round }: Part) =>
  round
    ? svg`<ellipse class="tape" data-part=${id} cx=${x + w / 2} cy=${y + h / 2} rx=${w / 2 + 3} ry=${h / 2 + 3}/>`
    : svg`<rect class="tape" data-part=${id} x=${x - 3} y=${y - 3} width=${w + 6} height=${h + 6} rx="3"/>`;

export const tapes = svg`
  <defs><pattern id="hazard" width="16" height="16" patternUnits="userSpaceOnUse" patternTransform="rotate(-45)">
    <rect class="hazard-light" width="16" height="16"/><rect class="hazard-dark" width="8" height="16"/></pattern></defs>
  <g class="tapes">${PARTS.map(frame)}</g>
`;

/** Where the tag of a part hangs, and how wide it may be: left, top, width, 0 to 1. It keeps clear of the numbers. */
const HANGS: Readonly<Record<PartId, readonly [number, number, number]>> = {
  pack: [0.5, 0.005, 0.48],
  switches: [0.5, 0.2, 0.48],
  trigger: [0.5, 0.215, 0.48],
  board: [0.2, 0.03, 0.46],
  sensors: [0.2, 0.09, 0.46],
  motor: [0.02, 0.385, 0.57],
  gear: [0.02, 0.565, 0.48],
  chuck: [0.02, 0.72, 0.48],
};

/** More faults than this in one part share a tag. */
const SHOWN = 2;

export interface Tag {
  readonly part: PartId;
  readonly text: string;
  /** A fault hangs on tape; a trip is plain ink. */ readonly tape: boolean;
}

/** What the tags say: every active fault, and the trip if there is one. */
export function tagsOf(faults: readonly LiveFault[], trip: Tag | undefined): Tag[] {
  const active = faults.filter((fault) => fault.state === 'active');
  const tags = active.map((fault) => ({ part: partOf(fault), text: tagText(fault), tape: true }));
  return trip ? [...tags, trip] : tags;
}

function tagText({ name, leg, words }: LiveFault): string {
  const first = words.split(/[,;.]/)[0].trim();
  const said = name[0].toUpperCase() + name.slice(1);
  return [said, leg?.toUpperCase(), first].filter(Boolean).join(', ');
}

/** Tags of one part hang under each other. */
export function drawTags(tags: readonly Tag[]) {
  return PARTS.map(({ id }) => {
    const here = tags.filter((tag) => tag.part === id);
    if (here.length === 0) return nothing;
    const [left, top, width] = HANGS[id];
    return html`<div class="tags" aria-hidden="true" style="left:${left * 100}%;top:${top * 100}%;max-width:${width * 100}%">
${few(here).map((tag) => html`<span class="tag ${tag.tape ? 'of-tape' : ''}">${tag.text}</span>`)}</div>`;
  });
}

/** Tags of one part: a trip always, of many faults the first and how many more. */
function few(tags: readonly Tag[]): readonly Tag[] {
  const taped = tags.filter((tag) => tag.tape);
  if (taped.length <= SHOWN) return tags;
  return [taped[0], { ...taped[0], text: WORDS.more(taped.length - 1) }, ...tags.filter((tag) => !tag.tape)];
}

/** Shows the frame of each part by the state of its faults. */
export class TapeMover {
  private readonly frames: ReadonlyMap<string, SVGElement>;
  private told: readonly LiveFault[] = [];

  constructor(root: ParentNode) {
    const all = [...root.querySelectorAll<SVGElement>('.tape')];
    this.frames = new Map(all.map((node) => [node.dataset.part ?? '', node]));
  }

  move(faults: readonly LiveFault[]): void {
    if (faults === this.told) return;
    this.told = faults;
    for (const [id, node] of this.frames) {
      const here = faults.filter((fault) => partOf(fault) === id);
      const state = here.some((f) => f.state === 'active') ? 'active' : here.length > 0 ? 'armed' : '';
      node.setAttribute('data-state', state);
    }
  }
}

/** Left and top edge, width and height of a part as shares of the drawing, for the button over it [%]. */
export function boxStyle({ box: [x, y, w, h], round }: Part): string {
  const share = (value: number, whole: number) => `${((value / whole) * 100).toFixed(2)}%`;
  return (
    `left:${share(x, DRAWING.width)};top:${share(y, DRAWING.height)};` +
    `width:${share(w, DRAWING.width)};height:${share(h, DRAWING.height)};${round ? 'border-radius:50%' : ''}`
  );
}
