/**
 * What draws the waves. One interface with two makers, so that the graphics card is a matter of speed only: whatever
 * the page shows, it shows without one. Coordinates are CSS pixels from the upper left; NaN lifts the pen.
 */
import { FlatPen } from './flat-pen.ts';
import { GlPen } from './gl-pen.ts';

export interface Pen {
  readonly kind: 'gl' | 'flat';
  /**
   * Where more may be painted below the lines, from begin() until the first clip(): a layer less for the processor to blend.
   * None where the card draws.
   */
  readonly ground?: CanvasRenderingContext2D;
  /** @param bold times wider than asked is every line drawn */
  resize(width: number, height: number, ratio: number, bold?: number): void;
  /** Clears all. */ begin(): void;
  /** What follows shows only inside. */ clip(x: number, y: number, width: number, height: number): void;
  /** A line through `count` points x, y. */
  line(points: Float32Array, count: number, color: string, width: number): void;
  /** A square dot at each of `count` points x, y. */
  dots(points: Float32Array, count: number, color: string, size: number): void;
  /** The area between the upper and the lower edge: `count` triples x, y above, y below; NaN parts it. */
  band(points: Float32Array, count: number, color: string): void;
  /** Boxes, each as two triples of equal heights, its left and its right side; a triple of NaN parts them. */
  boxes(points: Float32Array, count: number, color: string): void;
  /** Gives the drawing context back. */ dispose(): void;
}

/** Who wants to draw: the last one does, those before it rest and draw again when it is done. One context a page. */
const keepers: Keeper[] = [];

interface Keeper {
  readonly host: HTMLElement;
  readonly use: (pen: Pen | undefined) => void;
  readonly anyCard: boolean;
  pen: Pen | undefined;
  /** Canvas of the card, as long as it is wanted. */ canvas: HTMLCanvasElement | undefined;
}

/**
 * Puts a canvas into `host` and keeps a pen for it. `use` is called with the first one, with another when the card takes its
 * context away or gives it back, and with undefined while somebody else draws. A card that is only imitated in software is
 * slower than the plain canvas, so it is not used unless `anyCard` asks for it. Call what it returns to give everything back.
 */
export function keepPen(host: HTMLElement, use: (pen: Pen | undefined) => void, anyCard = false): () => void {
  const keeper: Keeper = { host, use, anyCard, pen: undefined, canvas: undefined };
  rest(keepers[keepers.length - 1]);
  keepers.push(keeper);
  begin(keeper);
  return () => {
    const at = keepers.indexOf(keeper);
    if (at < 0) return;
    const drew = at === keepers.length - 1;
    keepers.splice(at, 1);
    rest(keeper);
    if (drew) begin(keepers[at - 1]);
  };
}

function begin(keeper: Keeper | undefined): void {
  if (!keeper) return;
  const canvas = document.createElement('canvas');
  const gl = canvas.getContext('webgl', { antialias: true, failIfMajorPerformanceCaveat: !keeper.anyCard });
  if (!gl) {
    take(keeper, flatPen(keeper.host));
    return;
  }
  keeper.canvas = canvas;
  canvas.addEventListener('webglcontextlost', (e) => {
    if (keeper.canvas !== canvas) return;
    e.preventDefault(); // asks for it back
    take(keeper, flatPen(keeper.host));
  });
  const draw = (): void => {
    if (keeper.canvas !== canvas) return;
    keeper.host.replaceChildren(canvas);
    take(keeper, new GlPen(canvas, gl));
  };
  canvas.addEventListener('webglcontextrestored', draw);
  draw();
}

function take(keeper: Keeper, pen: Pen): void {
  keeper.pen = pen;
  keeper.use(pen);
}

function rest(keeper: Keeper | undefined): void {
  if (!keeper?.pen) return;
  keeper.canvas = undefined; // its loss is wanted now
  keeper.pen.dispose();
  keeper.pen = undefined;
  keeper.use(undefined);
}

/** A pen that never needs the card. */
function flatPen(host: HTMLElement): Pen {
  const canvas = document.createElement('canvas');
  host.replaceChildren(canvas);
  return new FlatPen(canvas);
}
