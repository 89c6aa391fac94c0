/** What a person has picked, set and moved in the waves. Plain state with one way to tell that it has changed. */
import type { BenchInfo, Channel } from '../../worker/api.ts';
import { type ChannelInfo, channelsOf, MOST_TRACES, usualSet } from './channels.ts';
import { keep, recall } from './kept.ts';
import { type LanePlan, planLanes } from './lanes.ts';
import { between, follow, type Held, scroll, spanOf, type View, whole, zoom } from './span.ts';

const FIRST_SPAN_S = 0.5;
/** Share of the paper by which the arrows and the Page keys scroll. */
const STEP = 0.1;
const PAGE = 0.9;
const MAGNIFY = 1.6;

export class Desk {
  picked: readonly Channel[];
  apart: ReadonlySet<Channel>;
  /** Ends of the scales that are set by hand, in the unit of the lane. */
  scales: ReadonlyMap<string, readonly [number, number]>;
  view: View = { live: true, from_s: -FIRST_SPAN_S, to_s: 0 };
  held: Held = { from_s: 0, to_s: 0 };
  /** Marks 1 and 2 [s]. */ cursors: readonly (number | undefined)[] = [undefined, undefined];
  ghost = true;
  /** Everything that there is to pick. */ channels: readonly ChannelInfo[] = [];
  /** What is picked, in the order of picking. */ infos: readonly ChannelInfo[] = [];
  plans: readonly LanePlan[] = [];
  /** The view has jumped: scales need not wait. */ jumped = true;
  private usual: readonly Channel[] = [];
  /** Of the samples that marks stand on [s]. */ tick_s = 5e-5;
  private readonly changed: (what: 'lanes' | 'view') => void;

  constructor(changed: (what: 'lanes' | 'view') => void) {
    const kept = recall();
    this.picked = kept?.picked ?? [];
    this.apart = new Set(kept?.apart);
    this.scales = new Map(Object.entries(kept?.scales ?? {}));
    if (kept) this.view = { live: true, from_s: -kept.span_s, to_s: 0 };
    this.changed = changed;
  }

  /** Another bench: its past is empty, its watch values are others. */
  take(info: BenchInfo): void {
    this.channels = channelsOf(info.watch);
    this.tick_s = 1 / info.pwm_Hz;
    this.usual = usualSet(info.watch);
    const known = new Set(this.channels.map(({ channel }) => channel));
    const left = this.picked.filter((channel) => known.has(channel));
    this.cursors = [undefined, undefined];
    this.view = { live: true, from_s: -spanOf(this.view), to_s: 0 };
    this.pick(left.length > 0 ? left : this.usual);
  }

  pick(picked: readonly Channel[]): void {
    this.picked = picked.slice(0, MOST_TRACES);
    const infos = this.picked.map((channel) => this.channels.find((info) => info.channel === channel));
    this.infos = infos.filter((info) => info !== undefined);
    this.plans = planLanes(this.infos, this.apart);
    this.keep();
    this.changed('lanes');
  }

  pickUsual(): void {
    this.pick(this.usual);
  }

  takeAway(channel: Channel): void {
    this.pick(this.picked.filter((each) => each !== channel));
  }

  turnApart(channel: Channel): void {
    const apart = new Set(this.apart);
    if (!apart.delete(channel)) apart.add(channel);
    this.apart = apart;
    this.pick(this.picked);
  }

  setScale(key: string, ends: readonly [number, number] | undefined): void {
    const scales = new Map(this.scales);
    if (ends) scales.set(key, ends);
    else scales.delete(key);
    this.scales = scales;
    this.keep();
    this.changed('view');
  }

  /** Time has come to `now_s`. */
  follow(now_s: number): void {
    this.view = follow(this.view, this.held, now_s);
  }

  show(view: View): void {
    this.view = view;
    this.jumped = true;
    this.keep();
    this.changed('view');
  }

  turnLive(): void {
    this.show({ ...this.view, live: !this.view.live });
  }

  /** Shows the moment in the middle. */
  goTo(at_s: number): void {
    this.show(scroll(this.view, this.held, at_s - (this.view.from_s + this.view.to_s) / 2));
  }

  /** Later by a share of what is in sight. */
  shift(share: number): void {
    this.scroll(share * spanOf(this.view));
  }

  scroll(by_s: number): void {
    this.show(scroll(this.view, this.held, by_s));
  }

  /** About a moment, the middle when none is told. */
  magnify(factor: number, at_s = (this.view.from_s + this.view.to_s) / 2): void {
    this.show(zoom(this.view, this.held, factor, at_s));
  }

  closer(): void {
    this.magnify(1 / MAGNIFY);
  }

  wider(): void {
    this.magnify(MAGNIFY);
  }

  whole(): void {
    this.show(whole(this.held, this.view.live));
  }

  toMarks(): void {
    const [one, two] = this.cursors;
    if (one !== undefined && two !== undefined) this.show(between(one, two, this.held));
  }

  /** Puts a mark on the sample next to a moment; in the closest views, exactly there. */
  setMark(which: number, at_s: number): void {
    const { tick_s } = this;
    const fine = spanOf(this.view) < 40 * tick_s;
    const on_s = fine ? Math.round(at_s * 1e6) / 1e6 : Math.round(at_s / tick_s) * tick_s;
    const inside_s = Math.min(Math.max(on_s, this.held.from_s), this.held.to_s);
    this.cursors = this.cursors.map((old, k) => (k === which ? inside_s : old));
    this.changed('view');
  }

  /** Mark 1, then 2, then 1 again. */
  markNext(at_s: number): void {
    const [one, two] = this.cursors;
    if (one === undefined) this.setMark(0, at_s);
    else if (two === undefined) this.setMark(1, at_s);
    else {
      this.cursors = [undefined, undefined];
      this.setMark(0, at_s);
    }
  }

  /** Earlier or later by samples; by single steps in the closest views. */
  nudge(which: number, by: number, perPixel_s: number): void {
    const at_s = this.cursors[which];
    if (at_s === undefined) return;
    const fine = spanOf(this.view) < 40 * this.tick_s;
    const step_s = fine ? 1e-6 : Math.max(this.tick_s, Math.round(perPixel_s / this.tick_s) * this.tick_s);
    this.setMark(which, at_s + by * step_s);
  }

  clearMarks(): void {
    this.cursors = [undefined, undefined];
    this.changed('view');
  }

  turnGhost(): void {
    this.ghost = !this.ghost;
    this.changed('view');
  }

  /** Keys of the paper; tells whether the key was one of them. `at_s`: where the pointer is, or the middle. */
  key(key: string, at_s: number): boolean {
    const deed = {
      ArrowLeft: () => this.shift(-STEP),
      ArrowRight: () => this.shift(STEP),
      PageUp: () => this.shift(-PAGE),
      PageDown: () => this.shift(PAGE),
      Home: () => this.whole(),
      End: () => this.show({ ...this.view, live: true }),
      '+': () => this.closer(),
      '=': () => this.closer(),
      '-': () => this.wider(),
      m: () => this.markNext(at_s),
      M: () => this.markNext(at_s),
    }[key];
    deed?.();
    return deed !== undefined;
  }

  private keep(): void {
    if (this.channels.length === 0) return;
    const { picked, apart, scales, view } = this;
    keep({ picked, apart: [...apart], span_s: spanOf(view), scales: Object.fromEntries(scales) });
  }
}
