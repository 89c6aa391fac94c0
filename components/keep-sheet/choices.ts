/** What can be chosen for a recording: which signals, and how often. */
import { SIGNALS, type SignalId } from '../../src/signals.ts';
import { recall } from '../wave-bench/kept.ts';
import { RECORDING_WORDS as WORDS } from './words.ts';

/** What most questions about a run need, at every tick: supply, currents true and sensed, rotor, gear, work, controller. */
const USUAL: readonly SignalId[] = [
  'packVoltage',
  'packCurrent',
  'link',
  'currentA',
  'currentB',
  'currentC',
  'currentD',
  'currentQ',
  'rotorAngle',
  'motorSpeed',
  'gearTorque',
  'chuckSpeed',
  'screwDepth',
  'sensedA',
  'sensedB',
  'sensedC',
  'gates',
  'controllerState',
  'tripReason',
  'trigger',
];
const ALL: readonly SignalId[] = SIGNALS.flatMap(({ id }) => (id === 'time' ? [] : [id as SignalId]));
/** Rows a second besides every tick [Hz]. */
const RATES_HZ = [1000, 100] as const;

export interface SignalChoice {
  readonly id: 'usual' | 'all' | 'picked';
  readonly words: string;
  readonly signals: readonly SignalId[];
}

export function signalChoices(): readonly SignalChoice[] {
  const picked = (recall()?.picked ?? []).filter((name): name is SignalId => (ALL as readonly string[]).includes(name));
  return [
    { id: 'usual', words: WORDS.usual(USUAL.length), signals: USUAL },
    { id: 'all', words: WORDS.all(ALL.length), signals: ALL },
    ...(picked.length > 0 ? [{ id: 'picked' as const, words: WORDS.picked(picked.length), signals: picked }] : []),
  ];
}

/** Ticks from row to row, in words. */
export function rateChoices(pwm_Hz: number): readonly (readonly [every: number, words: string])[] {
  const slower = RATES_HZ.map((rate_Hz) => Math.round(pwm_Hz / rate_Hz)).filter((every) => every > 1);
  const rate = (hz: number) => (hz >= 1000 ? `${round(hz / 1000)}\u202fkHz` : `${round(hz)}\u202fHz`);
  return [
    [1, WORDS.everyTick(round(pwm_Hz / 1000))],
    ...slower.map((every) => [every, WORDS.everyNth(rate(pwm_Hz / every), every)] as const),
  ];
}

const round = (value: number): string => String(Number(value.toPrecision(3)));
