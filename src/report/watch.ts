/**
 * Follows a run for its report: traces of the signals that its checks judge, when the trigger was pressed, and in which
 * state the drill was, so that a fault can be told by the state that it met. Allocates only when something changes.
 */
import { SITUATIONS, type Situation, Situations } from '../runner/situation.ts';
import { SIGNAL_INDEX, SIGNALS, type SignalId } from '../signals.ts';
import { toDisplay } from '../units/convert.ts';
import { type Channel, ChannelTraces, signalChannel } from './traces.ts';

/** Plotted whether a check judges them or not. */
const ALWAYS: readonly SignalId[] = ['motorSpeed', 'currentQ', 'link'];
/** Most panels of a run. */
const PANELS_MOST = 8;
/** Columns of a trace: one for each unit of a panel. */
export const WATCH_COLUMNS = 400;

export interface Press {
  readonly from_s: number;
  readonly to_s: number;
}

/** What is drawn into the panel of a signal: limits of a check over its window, in the display unit. */
export interface LimitLine {
  readonly name: string;
  readonly bound: 'at least' | 'at most';
  readonly limit: number;
  /** keep: never beyond it while the window lasts; reach: it has to be reached once, at the end or in the mean. */
  readonly kind: 'keep' | 'reach';
  /** Drawn only where the trace has this sign; 0 for anywhere. */ readonly sign: -1 | 0 | 1;
  readonly from_s: number;
  readonly to_s: number;
}

export class RunWatch {
  readonly traces: ChannelTraces;
  readonly duration_s: number;
  readonly presses: Press[] = [];
  readonly states: { readonly at_s: number; readonly state: Situation }[] = [];
  private readonly situations = new Situations();
  private state: Situation | undefined;
  private began_s = Number.NaN;
  private now_s = 0;

  /** @param signals that checks judge, most important first */
  constructor(signals: readonly string[], duration_s: number, tick_s: number) {
    this.duration_s = duration_s;
    this.traces = new ChannelTraces(channelsOf(signals), Math.max(1, Math.round(duration_s / tick_s)), WATCH_COLUMNS);
  }

  /** After each tick. @param direction that the hand has chosen: 1 in, 0 locked, -1 out; undefined where nobody knows it */
  see(sample: Float64Array, direction?: number): void {
    this.traces.see(sample, Number.NaN);
    this.now_s = sample[SIGNAL_INDEX.time];
    const pressed = sample[SIGNAL_INDEX.trigger] > 0;
    if (pressed !== !Number.isNaN(this.began_s)) this.press(pressed);
    const state = this.situations.see(sample, direction);
    if (state === this.state) return;
    this.state = state;
    this.states.push({ at_s: this.now_s, state });
  }

  /** After the last tick. */
  end(): void {
    if (!Number.isNaN(this.began_s)) this.press(false);
  }

  /** State at a moment, that of the tick before it: what a fault met. */
  stateAt(at_s: number): Situation {
    let found: Situation = 'rest';
    for (const { at_s: since_s, state } of this.states) if (since_s <= at_s) found = state;
    return found;
  }

  /** The same in words. */
  stateText(at_s: number): string {
    return SITUATIONS[this.stateAt(at_s)];
  }

  private press(begins: boolean): void {
    if (begins) this.began_s = this.now_s;
    else {
      this.presses.push({ from_s: this.began_s, to_s: this.now_s });
      this.began_s = Number.NaN;
    }
  }
}

/** Channels of the signals that exist, then those that are always drawn. */
function channelsOf(signals: readonly string[]): Channel[] {
  const known = new Set<string>(SIGNALS.map(({ id }) => id));
  const wanted = [...new Set([...signals.filter((id) => known.has(id)), ...ALWAYS])] as SignalId[];
  return wanted.slice(0, PANELS_MOST).map((id) => signalChannel(id, titleOf(id)));
}

/** The first words of what a signal is. */
const titleOf = (id: SignalId): string => SIGNALS[SIGNAL_INDEX[id]].doc.split(/[,;:]/)[0];

/** What a limit line needs of a check; a check of another form lacks some of it and draws none. */
export interface LimitSpec {
  readonly name?: string | undefined;
  readonly signal?: string | undefined;
  readonly take?: string | undefined;
  readonly from_s?: number | undefined;
  readonly to_s?: number | undefined;
  /** Limits in SI. */ readonly atLeast?: number | undefined;
  readonly atMost?: number | undefined;
  /** Place of the fault from whose beginning the window counts. */ readonly afterFault?: number | undefined;
  /** Less the fault-free twin: the limits lie on a difference. */ readonly against?: string | undefined;
}

/** Takes whose limits lie on the signal itself. */
const ON_SIGNAL = ['largest', 'smallest', 'peak', 'mean', 'last', 'every'];

/**
 * Limits of the checks that look at a signal itself, by signal, in its display unit.
 *
 * @param duration_s of the run: a window without an end goes to there
 * @param began_s when a fault began, by its place in the list; undefined for one that never did
 */
export function limitLines(
  specs: readonly LimitSpec[],
  duration_s: number,
  began_s: (order: number) => number | undefined = () => undefined,
): Map<string, LimitLine[]> {
  const lines = new Map<string, LimitLine[]>();
  for (const spec of specs) {
    const { name = '', signal = '', take = '', atLeast, atMost, afterFault, against } = spec;
    const known = SIGNALS.find(({ id }) => id === signal);
    const zero_s = afterFault === undefined ? 0 : began_s(afterFault);
    if (!known || !ON_SIGNAL.includes(take) || against !== undefined || zero_s === undefined) continue;
    const from_s = Math.min(duration_s, zero_s + (spec.from_s ?? 0));
    const to_s = Math.min(duration_s, zero_s + (spec.to_s ?? Number.POSITIVE_INFINITY));
    const of = lines.get(signal) ?? [];
    const peak = take === 'peak';
    const add = (bound: LimitLine['bound'], kind: LimitLine['kind'], limit_SI: number, sign: LimitLine['sign'] = 0) =>
      of.push({ name, bound, kind, limit: toDisplay(limit_SI, known.show), from_s, to_s, sign });
    if (atLeast !== undefined)
      add('at least', take === 'smallest' || take === 'every' ? 'keep' : 'reach', atLeast, peak ? 1 : 0);
    if (atMost !== undefined)
      add('at most', take === 'largest' || take === 'every' || peak ? 'keep' : 'reach', atMost, peak ? 1 : 0);
    // A peak counts on both sides of zero.
    if (peak && atLeast !== undefined) add('at most', 'reach', -atLeast, -1);
    if (peak && atMost !== undefined) add('at least', 'keep', -atMost, -1);
    lines.set(signal, of);
  }
  return lines;
}
