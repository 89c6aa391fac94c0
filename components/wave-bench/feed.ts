/**
 * Brings what is in sight from the worker: one question under way at a time, the newest wish next. Answers are kept as they
 * came; nothing here is reactive.
 */
import type { Channel, Looked, Mark, PastApi } from '../../worker/api.ts';
import type { Session } from '../session/session.ts';
import type { Samples } from './draw.ts';
import { grown, pieceFor } from './grow.ts';
import { spanOf, type View } from './span.ts';

/** The longest stretch that the worker goes through again step by step [s]. */
export const DETAIL_S = 2e-3;
/** A view must stand still for this long before its steps are asked for [ms]. */
const SETTLE_MS = 120;
/** Least time between two questions for what happened [ms]. */
const MARKS_MS = 400;

/** What the waves ask the worker. Plain functions: a template takes the worker's own proxy for one of its directives. */
export type Past = {
  readonly [K in 'look' | 'detail' | 'marks']: (...ask: Parameters<PastApi[K]>) => Promise<ReturnType<PastApi[K]>>;
};

export function pastOf({ api }: Session): Past {
  return {
    look: (ask) => api.look(ask),
    detail: (from_s, to_s, channels) => api.detail(from_s, to_s, channels),
    marks: (from_s, to_s) => api.marks(from_s, to_s),
  };
}

export interface Wish {
  readonly view: View;
  readonly channels: readonly Channel[];
  /** Width of the paper [px]. */ readonly points: number;
  /** Of the PWM. */ readonly period_s: number;
  readonly ghost: boolean;
  /** Time stands: steps of the plant may be asked for. */ readonly still: boolean;
}

export class Feed {
  looked: Looked | undefined;
  ghost: Looked | undefined;
  /** The view that the answers belong to. */ view: View | undefined;
  marks: readonly Mark[] = [];
  /** Why there are no single steps, '' when nobody asked or there are. */ noDetail = '';
  /** Counts answers: another number, another picture. */ round = 0;
  private steps: Samples | undefined;
  private stepsOf = '';
  private channels = '';
  private points = 0;
  private busy = false;
  private wanted_ms = 0;
  private settled = '';
  private marks_ms = Number.NEGATIVE_INFINITY;

  /** Asks unless a question is under way; tells whether it asked. */
  pull(past: Past, wish: Wish, now_ms: number, failed: (error: unknown) => void): boolean {
    if (this.busy) return false;
    this.busy = true;
    this.ask(past, wish, now_ms)
      .catch(failed)
      .finally(() => {
        this.busy = false;
      });
    return true;
  }

  /** The steps of the plant where they are there and fill the view, else what was recorded. */
  samples(view: View): Samples | undefined {
    const { steps, looked } = this;
    if (steps && this.stepsOf === keyOf(this.channels, view)) return steps;
    return looked;
  }

  /** The bench is another one. */
  clear(): void {
    this.looked = undefined;
    this.ghost = undefined;
    this.steps = undefined;
    this.marks = [];
    this.marks_ms = Number.NEGATIVE_INFINITY;
    this.round++;
  }

  private async ask(past: Past, wish: Wish, now_ms: number): Promise<void> {
    const { view, channels, points } = wish;
    const names = channels.join(' ');
    const margin_s = spanOf(view) / 100;
    const span = { from_s: Math.max(0, view.from_s - margin_s), to_s: Math.max(margin_s, view.to_s + margin_s) };
    const ask = { channels, ...span, points };
    const looked = (await this.more(past, wish, names)) ?? (await past.look({ run: 'now', ...ask }));
    const ghost = wish.ghost ? await past.look({ run: 'ghost', ...ask }) : undefined;
    if (now_ms - this.marks_ms >= MARKS_MS || !view.live) {
      this.marks_ms = now_ms;
      this.marks = await past.marks(span.from_s, span.to_s);
    }
    this.looked = looked;
    this.ghost = ghost;
    this.view = view;
    this.points = points;
    this.channels = names;
    this.round++;
    await this.askSteps(past, wish, names, now_ms);
  }

  /** Of a live view, what came since the last answer; undefined where all is to be asked for. */
  private async more(past: Past, wish: Wish, names: string): Promise<Looked | undefined> {
    const { looked, view } = this;
    const { view: next, period_s } = wish;
    if (!looked || !view?.live || !next.live || wish.ghost || wish.still) return undefined;
    const same = names === this.channels && wish.points === this.points && !next.all;
    if (!same || Math.abs(spanOf(next) - spanOf(view)) > period_s / 2) return undefined;
    const piece = pieceFor(looked, view.to_s, next.to_s, period_s);
    if (!piece || next.to_s - view.to_s > spanOf(view) / 2) return undefined;
    const { from_s, to_s, points } = piece;
    const answer = await past.look({ run: 'now', channels: wish.channels, from_s, to_s, points });
    return grown(looked, answer, piece, next.from_s - spanOf(next) / 100);
  }

  private async askSteps(past: Past, { view, channels, still }: Wish, names: string, now_ms: number): Promise<void> {
    const key = keyOf(names, view);
    if (!still || spanOf(view) > DETAIL_S) {
      this.noDetail = '';
      return;
    }
    if (this.settled !== key) {
      this.settled = key;
      this.wanted_ms = now_ms;
    }
    if (key === this.stepsOf || now_ms - this.wanted_ms < SETTLE_MS) return;
    this.stepsOf = key;
    const detail = await past.detail(Math.max(0, view.from_s), view.to_s, channels);
    this.noDetail = 'why' in detail ? detail.why : '';
    this.steps = 'why' in detail ? undefined : { ...detail, kind: 'values', step_s: 1e-6 };
    this.round++;
  }
}

const keyOf = (channels: string, view: View): string => `${channels}|${view.from_s}|${view.to_s}`;
