/** Keeps paper, readings and panes at what the desk shows: asks the worker when something is due, draws when it has come. */
import { SIGNAL_INDEX, type SignalId } from '../../src/signals.ts';
import type { Channel } from '../../worker/api.ts';
import { beats } from '../session/beat.ts';
import type { Session } from '../session/session.ts';
import type { Desk } from './desk.ts';
import { DETAIL_S, Feed, type Past, pastOf } from './feed.ts';
import type { PaperView, Shown } from './paper-view.ts';
import { type Readings, read } from './readings.ts';
import { spanOf, type View } from './span.ts';

/** The paper moves this often at most, words renew this often; with reduced motion everything is a still [ms]. */
const PAPER_MS = 40;
/** The same without a card: then the processor that the plant runs on fills every pixel. */
const FLAT_MS = 65;
const WORDS_MS = 200;
const STILL_MS = 1000;
/** What stands still is asked for again this often, in case more has become known [ms]. */
const AGAIN_MS = 500;
/** Spectrum and XY renew this often [ms]. */
const PANES_MS = 400;
/** How often everything is asked for while the worker loses time, and for how long after [ms]. */
const BUSY_MS = 120;
const SLOWER_MS = 2000;
/** Share of the time before a condition that is shown around it. */
const AROUND = 0.05;

/** Spectrum or XY beside the paper. */
export interface Pane extends HTMLElement {
  from_s: number;
  to_s: number;
  live: boolean;
  refresh(): Promise<void>;
}

export class RunDesk {
  readonly feed = new Feed();
  /** What the marks read, undefined while only the present is told. */ readings: Readings | undefined;
  trouble = '';
  past: Past | undefined;
  private readonly desk: Desk;
  private readonly reduced = matchMedia('(prefers-reduced-motion: reduce)');
  private dirty = true;
  private drawn = -1;
  private asked_ms = 0;
  private askedFor = '';
  private words_ms = 0;
  private readFor = '';
  private reading = false;
  private panes_ms = 0;
  private lost_s = 0;
  private now_s = 0;
  /** Stretch before the condition that froze time. */
  private before: { readonly from_s: number; readonly to_s: number } | undefined;
  private frozenAt_s = Number.NaN;
  private lost_ms = Number.NEGATIVE_INFINITY;

  constructor(desk: Desk) {
    this.desk = desk;
  }

  /** Something is to be asked for anew. */
  ask(): void {
    this.askedFor = '';
    this.readFor = '';
    this.dirty = true;
  }

  /** The picture is to be drawn anew. */
  touch(): void {
    this.dirty = true;
  }

  /** The bench is another one. */
  clear(session: Session): void {
    this.past = pastOf(session);
    this.feed.clear();
    this.readings = undefined;
    this.ask();
  }

  /** One frame. Tells whether it drew, and whether words are due. */
  frame(session: Session, paper: PaperView, panes: Iterable<Pane>, now_ms: number) {
    const { desk, feed } = this;
    this.past ??= pastOf(session);
    const { past } = this;
    const now_s = session.record.now[SIGNAL_INDEX.time];
    const runs = session.record.headValue('running') === 1;
    this.now_s = now_s;
    this.hear(session);
    desk.follow(now_s);
    const lost_s = session.record.headValue('lost_s');
    if (lost_s > this.lost_s) this.lost_ms = now_ms;
    this.lost_s = lost_s;
    this.pull(past, session, paper, now_s, runs, now_ms);
    const draws = this.dirty || this.drawn !== feed.round;
    if (draws) {
      this.drawn = feed.round;
      this.dirty = false;
      const { looked } = feed;
      if (looked) desk.held = { from_s: looked.held.from_s, to_s: Math.max(now_s, looked.held.to_s) };
      paper.draw(this.shown(runs), now_ms);
      desk.jumped = false;
    }
    const words = beats(now_ms, this.words_ms, this.reduced.matches ? STILL_MS : WORDS_MS);
    if (words) {
      this.words_ms = now_ms;
      void this.read(past, runs);
      this.renew(panes, now_ms, runs);
    }
    return { draws, words };
  }

  /** The view that the last answer belongs to; a live one moves with the answers. */
  get view(): View {
    const { view } = this.desk;
    return view.live && this.feed.view?.live ? this.feed.view : view;
  }

  shown(runs: boolean): Shown {
    const { desk, feed, view } = this;
    return {
      plans: desk.plans,
      scales: desk.scales,
      view,
      samples: feed.samples(view),
      ghost: desk.ghost ? feed.ghost : undefined,
      at_once: desk.jumped || !runs || !view.live,
      marks: feed.marks,
      gaps: feed.looked?.gaps ?? [],
      cursors: desk.cursors,
      end_s: desk.held.to_s,
      now_s: this.now_s,
      before: this.before,
    };
  }

  /** A condition froze time: what led to it comes into sight. */
  private hear({ news }: Session): void {
    const frozen = news?.past?.frozen;
    const at_s = frozen?.at_s ?? Number.NaN;
    if (Object.is(at_s, this.frozenAt_s)) return;
    this.frozenAt_s = at_s;
    const pre_s = frozen?.by.pre_s ?? 0;
    this.before = pre_s > 0 ? { from_s: Math.max(0, at_s - pre_s), to_s: at_s } : undefined;
    if (this.before)
      this.desk.show({ live: false, from_s: this.before.from_s - AROUND * pre_s, to_s: at_s + AROUND * pre_s });
    this.dirty = true;
  }

  private pull(past: Past, session: Session, paper: PaperView, now_s: number, runs: boolean, now_ms: number): void {
    const { desk } = this;
    const { flat } = paper;
    const points = paper.area?.width ?? 0;
    if (desk.infos.length === 0 || points < 16) return;
    const { view } = desk;
    const moves = view.live && runs;
    const since_ms = now_ms - this.asked_ms;
    const asked = `${view.from_s} ${view.to_s} ${points} ${desk.ghost} ${session.news?.past?.marks}`;
    // Steps of the plant are asked for once view and time rest: to go through them again would cost time of the run. What ends beyond now is still growing.
    const growing = runs && view.to_s > now_s;
    const settling = !runs && spanOf(view) <= DETAIL_S;
    const again = since_ms >= (growing || settling ? 2 * PAPER_MS : AGAIN_MS);
    const due = moves ? since_ms >= this.paper_ms(flat, now_ms) : asked !== this.askedFor || again;
    if (!due) return;
    const ghost = desk.ghost && session.news?.past?.ghost !== undefined;
    const channels = desk.infos.map(({ channel }) => channel);
    const begun = this.feed.pull(
      past,
      { view, channels, points: Math.round(points), period_s: desk.tick_s, ghost, still: !runs },
      now_ms,
      (e) => this.fail(e),
    );
    if (!begun) return;
    this.asked_ms = now_ms;
    this.askedFor = asked;
  }

  /** How often a live paper is asked for. */
  private paper_ms(flat: boolean, now_ms: number): number {
    if (this.reduced.matches) return STILL_MS;
    if (now_ms - this.lost_ms < SLOWER_MS) return BUSY_MS;
    return flat ? FLAT_MS : PAPER_MS;
  }

  private async read(past: Past, runs: boolean): Promise<void> {
    const { desk } = this;
    const [one, two] = desk.cursors;
    if (this.reading || desk.infos.length === 0) return;
    const live = desk.view.live && runs;
    if (live && one === undefined && two === undefined) {
      this.readings = undefined;
      this.readFor = '';
      return;
    }
    const both = one !== undefined && two !== undefined;
    const { from_s, to_s } = this.view;
    const asked = `${desk.cursors} ${both ? '' : `${from_s} ${to_s}`} ${desk.picked}`;
    if (asked === this.readFor) return;
    this.reading = true;
    try {
      const steps = !runs && spanOf(desk.view) <= DETAIL_S;
      this.readings = await read(past, desk.infos, desk.cursors, { from_s, to_s }, steps);
      this.readFor = asked;
    } catch (error) {
      this.fail(error);
    } finally {
      this.reading = false;
    }
  }

  private renew(panes: Iterable<Pane>, now_ms: number, runs: boolean): void {
    if (now_ms - this.panes_ms < PANES_MS) return;
    this.panes_ms = now_ms;
    const [one, two] = this.desk.cursors;
    const both = one !== undefined && two !== undefined && one !== two;
    const span = both ? { from_s: Math.min(one, two), to_s: Math.max(one, two) } : this.view;
    const live = !both && this.desk.view.live && runs;
    const from_s = Math.max(0, span.from_s);
    for (const pane of panes) {
      const same = !live && pane.from_s === from_s && pane.to_s === span.to_s;
      Object.assign(pane, { from_s, to_s: span.to_s, live });
      if (!same) void pane.refresh().catch((error) => this.fail(error));
    }
  }

  private fail(error: unknown): void {
    this.trouble = error instanceof Error ? error.message : String(error);
  }
}

/** What a channel reads now, SI. */
export function nowOf(session: Session | undefined, channel: Channel): number {
  const { record, news } = session ?? {};
  if (!channel.startsWith('watch ')) return record?.now[SIGNAL_INDEX[channel as SignalId]] ?? Number.NaN;
  return news?.watch[Number(channel.slice(6))] ?? Number.NaN;
}
