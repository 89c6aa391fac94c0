/** What must hold of an endurance run, each limit with its reason. */
import { CATCH_UP_S } from '../../worker/pacer.ts';
import type { Hour } from './hour.ts';
import type { Live } from './live.ts';
import type { Restarts } from './restarts.ts';
import { growthOf, type Trend } from './trend.ts';

export interface Row {
  readonly what: string;
  readonly figure: string;
  /** '' where it is only told. */ readonly limit: string;
  readonly because: string;
  /** undefined: told only, or neither shown nor refuted. */ readonly holds: boolean | undefined;
}

/** The worker catches up within CATCH_UP_S or counts time as lost; the readings of either end take a while on a loaded machine [s]. */
const UNTOLD_S = 0.5;
/** Script of a frame that draws twelve traces [ms]: a quarter of a frame at 60 Hz. */
const SCRIPT_MS = 4;
/** What ten hours add stays below a tenth of what the worker takes for the past at once (112 MB) [bytes per hour]. */
const PER_HOUR = 1e6;
/** A worker that is kept, or one block of samples, would be 100 kB [bytes per start]. */
const PER_START = 20_000;
/** An element that is kept would be hundreds of nodes, one handler that is not taken away one listener. */
const NODES = 20;
const LISTENERS = 0.5;

const told = (what: string, figure: string): Row => ({ what, figure, limit: '', because: '', holds: undefined });
const kB = ({ slope, half }: Trend): string => `${(slope / 1000).toFixed(1)} ± ${(half / 1000).toFixed(1)} kB`;
const plain = ({ slope, half }: Trend): string => `${slope.toFixed(2)} ± ${half.toFixed(2)}`;

function growth(what: string, figure: string, trend: Trend, limit: number, unit: string, because: string): Row {
  const verdict = growthOf(trend, limit);
  const holds = verdict === 'not shown' ? undefined : verdict === 'flat';
  const text = `${(unit === '' ? limit : limit / 1000).toLocaleString('en-US')}${unit}`;
  return { what, figure: `${figure}, ${verdict}`, limit: `below ${text}`, because, holds };
}

export function liveRows(live: Live): Row[] {
  const { frames, wall_s, virtual_s, lost_s, recorded } = live;
  const untold_s = Math.abs(wall_s - virtual_s - lost_s);
  const ms = (value: number) => value.toFixed(2);
  const none = 'every sample counts, none may be dropped or doubled';
  return [
    {
      what: 'time lost while the page opened',
      figure: `${live.openingLost_s.toFixed(3)} s`,
      limit: `${CATCH_UP_S} s`,
      because: 'what a bench runs is compiled before its time begins; 0.7 s were lost when it was not',
      holds: live.openingLost_s <= CATCH_UP_S,
    },
    told('time of the drill', `${virtual_s.toFixed(2)} s in ${wall_s.toFixed(2)} s`),
    {
      what: 'time lost',
      figure: `${lost_s.toFixed(3)} s`,
      limit: '0 s',
      because: 'a run with lost time did not happen in real time',
      holds: lost_s === 0,
    },
    {
      what: 'time that is neither lived nor told lost',
      figure: `${untold_s.toFixed(3)} s`,
      limit: `${UNTOLD_S} s`,
      because: `what is due may wait for ${CATCH_UP_S} s before it is lost; the rest is how long the two readings take`,
      holds: untold_s <= UNTOLD_S,
    },
    {
      what: 'ticks that are not where they belong',
      figure: `${live.wrong} of ${live.ticks}`,
      limit: '0',
      because: none,
      holds: live.wrong === 0 && live.ticks > 0,
    },
    {
      what: 'stretches of 5 ms that no block brought',
      figure: `${live.columnsMissing}`,
      limit: '0',
      because: none,
      holds: live.columnsMissing === 0,
    },
    {
      what: 'recorded rows that do not follow the one before',
      figure: `${recorded.gaps} of ${recorded.rows}, ${recorded.missing} told missing`,
      limit: '0',
      because: none,
      holds: recorded.gaps + recorded.missing + recorded.damages.length === 0 && recorded.rows > 0,
    },
    told('drawings of twelve traces', `${live.drawings}, ${(live.drawings / wall_s).toFixed(1)} a second`),
    {
      what: 'script of a frame, median / p95 / longest',
      figure: `${ms(frames.script.p50_ms)} / ${ms(frames.script.p95_ms)} / ${ms(frames.script.most_ms)} ms`,
      limit: `p95 below ${SCRIPT_MS} ms`,
      because: 'a quarter of a frame at 60 Hz',
      holds: frames.script.p95_ms < SCRIPT_MS,
    },
    ...(frames.card.count === 0
      ? []
      : [
          told(
            'tasks of the card, median / p95 / longest',
            `${ms(frames.card.p50_ms)} / ${ms(frames.card.p95_ms)} / ${ms(frames.card.most_ms)} ms, ${frames.card.count}`,
          ),
        ]),
  ];
}

export function hourRows(hour: Hour): Row[] {
  const because = 'ten hours then add a tenth of what the past takes at most';
  const { virtual_s, wall_s, deeds, settled } = hour;
  return [
    told(
      'gone through',
      `${(virtual_s / 60).toFixed(1)} min with ${deeds} deeds in ${(wall_s / 60).toFixed(1)} min, ${(virtual_s / wall_s).toFixed(2)} of life`,
    ),
    ...(['page', 'worker'] as const).map((side) => {
      const what = `${side}, per hour`;
      if (settled) return growth(what, kB(hour[side]), hour[side], PER_HOUR, ' kB', because);
      return told(what, `${kB(hour[side])}; the past still fills`);
    }),
    {
      what: 'ticks that are not where they belong',
      figure: `${hour.wrong} of ${hour.ticks} read`,
      limit: '0',
      because: 'what is kept is as exact after an hour as at the start',
      holds: hour.wrong === 0 && hour.ticks > 0,
    },
  ];
}

export function restartRows(restarts: Restarts): Row[] {
  const { bytes, nodes, listeners, starts_ms, starts, workers } = restarts;
  const middle_ms = starts_ms[starts_ms.length >> 1] ?? Number.NaN;
  return [
    told(
      'from nothing to a running drill',
      `median ${middle_ms.toFixed(0)} ms, longest ${starts_ms.at(-1)?.toFixed(0)} ms`,
    ),
    {
      what: `workers that live after ${starts} starts`,
      figure: `${workers}`,
      limit: '1',
      because: 'each start ends the one before',
      holds: workers === 1,
    },
    growth('kept of a start', kB(bytes), bytes, PER_START, ' kB', 'a kept worker or block would be 100 kB'),
    growth('nodes of a start', plain(nodes), nodes, NODES, '', 'a kept element would be hundreds'),
    growth('listeners of a start', plain(listeners), listeners, LISTENERS, '', 'a handler left behind would be one'),
  ];
}
