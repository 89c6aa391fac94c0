/** What fingers, pen, mouse and wheel do on the paper: one of them scrolls, two zoom, the wheel zooms or scrolls. */
export interface Moves {
  /** The paper goes to the right by so many pixels. */ drag(by_px: number): void;
  /** Wider when the factor is above 1; about a place [px from the left of the element]. */
  zoom(factor: number, x_px: number): void;
  /** Twice on one place. */ twice(x_px: number): void;
}

/** Zoom for a notch of 100 of the wheel. */
const NOTCH = 1.25;
/** Wheels tell lines or pages, too [px]. */
const UNITS_PX = [1, 16, 400];

export class Gestures {
  /** Where the pointer hovers [px], NaN when it is elsewhere. */ hover_px = Number.NaN;
  private readonly held = new Map<number, number>();
  private readonly element: HTMLElement;
  private readonly moves: Moves;

  constructor(element: HTMLElement, moves: Moves) {
    this.element = element;
    this.moves = moves;
    element.addEventListener('pointerdown', (e) => this.down(e));
    element.addEventListener('pointermove', (e) => this.move(e));
    for (const name of ['pointerup', 'pointercancel', 'lostpointercapture'] as const)
      element.addEventListener(name, (e) => this.held.delete(e.pointerId));
    element.addEventListener('pointerleave', () => {
      this.hover_px = Number.NaN;
    });
    element.addEventListener('wheel', (e) => this.wheel(e), { passive: false });
    element.addEventListener('dblclick', (e) => moves.twice(this.x(e)));
  }

  private x(e: MouseEvent): number {
    return e.clientX - this.element.getBoundingClientRect().left;
  }

  private down(e: PointerEvent): void {
    if (e.button !== 0) return;
    this.held.set(e.pointerId, this.x(e));
    this.element.setPointerCapture(e.pointerId);
  }

  private move(e: PointerEvent): void {
    const x = this.x(e);
    this.hover_px = x;
    const before = this.held.get(e.pointerId);
    if (before === undefined) return;
    const other = [...this.held].find(([id]) => id !== e.pointerId)?.[1];
    this.held.set(e.pointerId, x);
    if (other === undefined) this.moves.drag(x - before);
    else {
      // Two fingers: what lies between them keeps lying between them.
      const was = Math.max(8, Math.abs(before - other));
      const is = Math.max(8, Math.abs(x - other));
      this.moves.zoom(was / is, other);
    }
  }

  private wheel(e: WheelEvent): void {
    // With Shift, or sideways, it scrolls; with Ctrl the browser zooms the page, which stays its own.
    if (e.ctrlKey) return;
    e.preventDefault();
    const unit = UNITS_PX[e.deltaMode] ?? 1;
    const sideways = e.shiftKey ? e.deltaY || e.deltaX : e.deltaX;
    if (e.shiftKey || Math.abs(e.deltaX) > Math.abs(e.deltaY)) this.moves.drag(-sideways * unit);
    else this.moves.zoom(NOTCH ** ((e.deltaY * unit) / 100), this.x(e));
  }
}
