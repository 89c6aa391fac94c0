/** How a fault comes and goes once it has begun: its share of the full size over time, 0 to 1. */
import { nextState, seedState } from '../plant/random.ts';

export type Shape =
  | { readonly kind: 'step' }
  /** Grows evenly over `over_s`. */
  | { readonly kind: 'ramp'; readonly over_s: number }
  /** Comes and goes; each stay is drawn evenly between half and one and a half of its mean. */
  | { readonly kind: 'intermittent'; readonly on_s: number; readonly off_s: number };

export class ShapeRun {
  private readonly shape: Shape;
  private state: number;
  private on = true;
  private until_s = 0;

  /** @param seed of the drawing of an intermittent fault */
  constructor(shape: Shape, seed: number) {
    this.shape = shape;
    this.state = seedState(seed);
  }

  /** Share in force `since_s` after the fault began; call with times that do not fall. */
  share(since_s: number): number {
    const { shape } = this;
    if (shape.kind === 'step') return 1;
    if (shape.kind === 'ramp') return since_s >= shape.over_s ? 1 : since_s / shape.over_s;
    if (this.until_s === 0) this.until_s = this.draw(shape.on_s);
    while (since_s >= this.until_s) {
      this.on = !this.on;
      this.until_s += this.draw(this.on ? shape.on_s : shape.off_s);
    }
    return this.on ? 1 : 0;
  }

  private draw(mean_s: number): number {
    this.state = nextState(this.state);
    return mean_s * (0.5 + this.state / 4294967296);
  }
}
