/**
 * What draws the waves. One interface with two makers, so that the graphics card is a matter of speed only: whatever
 * the page shows, it shows without one. Coordinates are CSS pixels from the upper left; NaN lifts the pen.
 */
import { FlatPen } from './flat-pen.ts';
import { GlPen } from './gl-pen.ts';

export interface Pen {
  readonly kind: 'gl' | 'flat';
  resize(width: number, height: number, ratio: number): void;
  /** Clears all. */ begin(): void;
  /** What follows shows only inside. */ clip(x: number, y: number, width: number, height: number): void;
  /** A line through `count` points x, y. */
  line(points: Float32Array, count: number, color: string, width: number): void;
  /** A square dot at each of `count` points x, y. */
  dots(points: Float32Array, count: number, color: string, size: number): void;
  /** The area between the upper and the lower edge: `count` triples x, y above, y below; NaN parts it. */
  band(points: Float32Array, count: number, color: string): void;
  /** Gives the drawing context back. */ dispose(): void;
}

/**
 * Puts a canvas into `host` and keeps a pen for it: `use` is called with the first one, and with another when the card takes
 * its context away or gives it back. A card that is only imitated in software is slower than the plain canvas, so it is not
 * used unless `anyCard` asks for it.
 */
export function keepPen(host: HTMLElement, use: (pen: Pen) => void, anyCard = false): void {
  const canvas = document.createElement('canvas');
  const gl = canvas.getContext('webgl', { antialias: true, failIfMajorPerformanceCaveat: !anyCard });
  if (!gl) {
    use(flatPen(host));
    return;
  }
  const draw = (): void => {
    host.replaceChildren(canvas);
    use(new GlPen(canvas, gl));
  };
  canvas.addEventListener('webglcontextlost', (e) => {
    e.preventDefault(); // asks for it back
    if (canvas.isConnected) use(flatPen(host));
  });
  canvas.addEventListener('webglcontextrestored', draw);
  draw();
}

/**
 * Puts a canvas into `host` and draws on it; `onLost` tells that the card took its context away. A card that is only
 * imitated in software is slower than the plain canvas, so it is not used unless `anyCard` asks for it.
 */
export function makePen(host: HTMLElement, onLost: () => void, anyCard = false): Pen {
  const canvas = document.createElement('canvas');
  const gl = canvas.getContext('webgl', { antialias: true, failIfMajorPerformanceCaveat: !anyCard });
  if (!gl) return flatPen(host);
  host.replaceChildren(canvas);
  canvas.addEventListener('webglcontextlost', (e) => {
    e.preventDefault();
    onLost();
  });
  return new GlPen(canvas, gl);
}

/** A pen that never needs the card; also what follows a lost context. */
export function flatPen(host: HTMLElement): Pen {
  const canvas = document.createElement('canvas');
  host.replaceChildren(canvas);
  return new FlatPen(canvas);
}
