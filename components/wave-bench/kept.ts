/** What a person picked is kept while the tab lives, also over a reload. */
import type { Channel } from '../../worker/api.ts';
import { keepItem, keptItem } from '../session/kept-item.ts';

export interface Kept {
  readonly picked: readonly Channel[];
  readonly apart: readonly Channel[];
  readonly span_s: number;
  /** Ends of a scale by the key of its lane, in its unit. */ readonly scales: Readonly<
    Record<string, readonly [number, number]>
  >;
}

const KEY = 'phantom-spindle-waves';

export const keep = (kept: Kept): void => keepItem('sessionStorage', KEY, JSON.stringify(kept));

/** What was kept; undefined when nothing was, or nothing that makes sense. */
export function recall(): Kept | undefined {
  try {
    return sound(JSON.parse(keptItem('sessionStorage', KEY) ?? 'null'));
  } catch {
    return undefined;
  }
}

/** Only what has the right form; names that no longer exist are for the caller to leave out. */
export function sound(value: unknown): Kept | undefined {
  if (typeof value !== 'object' || value === null) return undefined;
  const { picked, apart, span_s, scales } = value as Record<string, unknown>;
  const names = (list: unknown): Channel[] =>
    Array.isArray(list) ? (list.filter((name) => typeof name === 'string') as Channel[]) : [];
  if (!Array.isArray(picked) || typeof span_s !== 'number' || !(span_s > 0 && span_s < 1e6)) return undefined;
  const ends: Record<string, readonly [number, number]> = {};
  for (const [key, pair] of Object.entries(typeof scales === 'object' && scales !== null ? scales : {}))
    if (Array.isArray(pair) && Number.isFinite(pair[0]) && Number.isFinite(pair[1]) && pair[0] < pair[1])
      ends[key] = [pair[0], pair[1]];
  return { picked: names(picked), apart: names(apart), span_s, scales: ends };
}
