/** A condition to freeze, in words. */
import { SIGNAL_INDEX, SIGNALS, type SignalId, signalPhrase } from '../../src/signals.ts';
import { toDisplay, unitSymbol } from '../../src/units/convert.ts';
import type { BenchInfo, Channel, FreezeWhen } from '../../worker/api.ts';
import { EVENTS, KINDS } from './words.ts';

export interface ChannelFacts {
  readonly name: string;
  /** In which people read it. */ readonly unit: string;
}

/** What a channel is called, and its unit. */
export function channelFacts(channel: Channel, info: Pick<BenchInfo, 'watch'>): ChannelFacts {
  const id = channel as SignalId;
  const index = SIGNAL_INDEX[id];
  if (index !== undefined) return { name: signalPhrase(id), unit: SIGNALS[index].show };
  const watch = info.watch[Number(channel.slice('watch '.length))];
  return { name: watch?.name ?? channel, unit: '' };
}

/** `speed of the chuck rises through 300 rpm`. */
export function freezeText(when: FreezeWhen, info: Pick<BenchInfo, 'watch'>): string {
  if (when.kind === 'event') return when.event ? EVENTS[when.event] : KINDS.event;
  const { name, unit } = channelFacts(when.channel ?? 'time', info);
  const value = (si: number) =>
    `${Number(toDisplay(si, unit).toPrecision(6))}${unit === '' ? '' : `\u2009${unitSymbol(unit)}`}`;
  const upper = when.kind === 'between' ? ` and ${value(when.upper ?? 0)}` : '';
  return `${name} ${KINDS[when.kind]} ${value(when.level ?? 0)}${upper}`;
}
