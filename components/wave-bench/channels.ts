/** What can be drawn: the signals of the registry and the watch values of the controller, by part, with name and stroke. */
import { type Origin, SIGNALS, type SignalId } from '../../src/signals.ts';
import { DISPLAY_UNITS, displayUnit, unitSymbol } from '../../src/units/convert.ts';
import type { BenchInfo, Channel } from '../../worker/api.ts';
import { NAMES, type Part } from './words.ts';

/** As many traces as can be told apart. */
export const MOST_TRACES = 24;

export interface ChannelInfo {
  readonly channel: Channel;
  readonly name: string;
  readonly doc: string;
  /** As people read it. */ readonly unit: string;
  /** Shown value = (SI value - offset) / factor. */ readonly factor: number;
  readonly offset: number;
  /** Who says so; decides the stroke. */ readonly origin: Origin;
  readonly part: Part;
  /** Jumps between values, nothing in between. */ readonly stepped: boolean;
  /** A, B, C, d, q for those that have one. */ readonly letter: string;
}

const PART_OF: readonly (readonly [Part, readonly SignalId[]])[] = [
  ['pack', ['packOcv', 'packCurrent', 'packVoltage', 'charge', 'link', 'cellHeat', 'packOpen']],
  ['bridge', ['poleA', 'poleB', 'poleC', 'legHeatA', 'legHeatB', 'legHeatC', 'avalanches']],
  [
    'motor',
    ['currentA', 'currentB', 'currentC', 'currentD', 'currentQ', 'rotorAngle', 'motorSpeed', 'electricalSpeed'],
  ],
  ['motor', ['airGapTorque', 'windingHeat', 'magnetHeat', 'magnetFlux']],
  ['gear', ['gearTorque', 'gearEngaged', 'clutchSlip']],
  ['hand', ['trigger', 'bodyAngle', 'bodySpeed', 'wristTorque', 'push']],
  ['books', ['energyResidual', 'time']],
];
const PARTS_BY_ID = new Map(PART_OF.flatMap(([part, ids]) => ids.map((id) => [id, part] as const)));

const STEPPED: readonly SignalId[] = [
  'packOpen',
  'avalanches',
  'gearEngaged',
  'bitJumps',
  'hall',
  'gates',
  'controllerState',
  'tripReason',
];

function signalInfo({ id, show, origin, doc }: (typeof SIGNALS)[number]): ChannelInfo {
  const { factor, offset = 0 } = displayUnit(show);
  const elsewhere: Part = origin === 'sensed' ? 'sensed' : origin === 'commanded' ? 'asked' : 'work';
  const letter = /^(?:current|sensed|pole|duty|legHeat)([A-DQ])$/.exec(id)?.[1] ?? '';
  return {
    channel: id,
    name: NAMES[id] ?? id.replace(/[A-Z]/g, (c) => ` ${c.toLowerCase()}`),
    doc,
    unit: unitSymbol(show),
    factor,
    offset,
    origin,
    part: PARTS_BY_ID.get(id) ?? elsewhere,
    stepped: origin === 'commanded' || STEPPED.includes(id),
    letter: 'DQ'.includes(letter) ? letter.toLowerCase() : letter,
  };
}

const OF_SIGNALS: readonly ChannelInfo[] = SIGNALS.map(signalInfo);

/** A watch value is shown like the signal that it estimates, where it says which and its unit agrees. */
function watchInfo({ name, unit, signal }: BenchInfo['watch'][number], place: number): ChannelInfo {
  const like = SIGNALS.find(({ id }) => id === signal);
  const show = like && like.unit === unit ? like.show : unit;
  const { factor, offset = 0 } = DISPLAY_UNITS[show] ?? { factor: 1 };
  return {
    channel: `watch ${place}`,
    name: `${name}, estimated`,
    doc: like ? `what the controller takes for this: ${like.doc}` : 'a value that the controller reports',
    unit: unitSymbol(show),
    factor,
    offset,
    origin: 'estimated',
    part: 'watch',
    stepped: false,
    letter: '',
  };
}

/** Everything that can be drawn of a bench, in the order of the drill. */
export function channelsOf(watch: BenchInfo['watch']): readonly ChannelInfo[] {
  return [...OF_SIGNALS, ...watch.map(watchInfo)];
}

/** The ones that a search finds: every word of it stands in name, unit, id or meaning. */
export function found(channels: readonly ChannelInfo[], search: string): readonly ChannelInfo[] {
  const words = search.toLowerCase().split(/\s+/).filter(Boolean);
  return channels.filter(({ name, doc, unit, channel }) => {
    const text = `${name} ${doc} ${unit} ${channel}`.toLowerCase();
    return words.every((word) => text.includes(word));
  });
}

/** Picked when nobody has picked anything; watch values that estimate one of them come along. */
export function usualSet(watch: BenchInfo['watch']): Channel[] {
  const estimates = watch.flatMap(({ signal }, k) => (signal === 'motorSpeed' ? [`watch ${k}` as const] : []));
  return [
    'link',
    'sensedLink',
    'currentA',
    'currentB',
    'currentC',
    'sensedA',
    'motorSpeed',
    ...estimates,
    'gearTorque',
    'trigger',
  ];
}
