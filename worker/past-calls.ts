/** What a page may call about the past of the run on the bench. */
import { transfer } from 'comlink';
import { requireRange } from '../src/units/checks.ts';
import { detail } from './detail.ts';
import { differences } from './differences.ts';
import { type Begun, goThrough } from './go-through.ts';
import { look } from './look.ts';
import { PAST_WORDS } from './mark-words.ts';
import type { Past } from './past.ts';
import type { Looked, NoPast, PastApi, Rewound } from './past-api.ts';

/** Where the calls go. */
export interface PastHost {
  /** Throws when there is no bench. */ past(): Past;
  begun(): Begun | undefined;
  /** Freezes and rewinds. */ rewind(tick: number): Rewound | NoPast;
  /** Something is to be shown. */ changed(): void;
}

const no = (why: string): NoPast => ({ ok: false, why });

export function pastCalls(host: PastHost): PastApi {
  const rewind = (tick: number): Rewound | NoPast => {
    const done = host.rewind(tick);
    host.changed();
    return done;
  };
  return {
    look: (ask) => {
      const { archive, ghost, gaps } = host.past();
      if (ask.run === 'ghost' && !ghost) return nothingOf(ask);
      return sent(look(ask.run === 'ghost' && ghost ? ghost.archive : archive, ask, ask.run === 'now' ? gaps : []));
    },
    detail: (from_s, to_s, channels) => {
      const found = detail(host.past(), from_s, to_s, channels);
      if ('ok' in found) return found;
      return transfer(found, [found.at_s.buffer, ...found.data.map((each) => each.buffer)] as Transferable[]);
    },
    rewindTo: (time_s) => {
      requireRange('time_s', time_s, 0, 1e9, 's');
      return rewind(Math.round(time_s / host.past().archive.period_s));
    },
    stepBack: (periods) => {
      requireRange('periods', periods, 1, 20_000, '');
      return rewind(host.past().tick - Math.trunc(periods));
    },
    carryOn: () => {
      host.past().carryOn();
      host.changed();
    },
    freezeWhen: (condition) => {
      host.past().freezeWhen(condition);
      host.changed();
    },
    marks: (from_s, to_s) => {
      const { marks, archive } = host.past();
      return marks.between(from_s, to_s, archive.period_s);
    },
    ghostOf: async (ask) => {
      const past = host.past();
      const begun = host.begun();
      if (!begun) return no(past.course.made.coupling === 'lock-step' ? PAST_WORDS.ofBoard : PAST_WORDS.fromFile);
      if (!past.log.whole) return no(PAST_WORDS.startGone);
      const { archive, start } = past;
      const { ghost, done } = goThrough(begun, ask, past.log.copy(), start, archive.end);
      past.ghost?.drop();
      past.ghost = ghost;
      host.changed();
      return done;
    },
    dropGhost: () => {
      const past = host.past();
      past.ghost?.drop();
      past.ghost = undefined;
      host.changed();
    },
    differences: (channels, from_s, to_s) => {
      const { archive, ghost } = host.past();
      return ghost ? differences(archive, ghost.archive, channels, from_s, to_s) : no(PAST_WORDS.noGhost);
    },
  };
}

/** The numbers go over without being copied. */
function sent(looked: Looked): Looked {
  return transfer(
    looked,
    looked.data.map((each) => each.buffer as ArrayBuffer),
  );
}

/** There is no ghost: nothing is held, nothing is read. */
function nothingOf({ channels, from_s, to_s }: { channels: readonly unknown[]; from_s: number; to_s: number }): Looked {
  const data = channels.map(() => new Float32Array(0));
  return { from_s, to_s, step_s: to_s - from_s, kind: 'spans', data, held: { from_s, to_s: from_s }, gaps: [] };
}
