/** Turns the latest sample into the words of the head, the rail and Ahead. */
import { SIGNAL_INDEX as S } from '../../src/signals.ts';
import type { AheadFacts } from '../ahead-list/ahead-list.ts';
import { planAt } from '../ahead-list/plan.ts';
import { builtInName, capital, couplingWords, lagsPace, lifeWords, troubles } from '../controller-sheet/words.ts';
import type { HeadFacts } from '../head-bar/head-bar.ts';
import { faultCount, liveFaults } from '../session/faults.ts';
import type { Session } from '../session/session.ts';
import { SHELL_WORDS as WORDS } from './words.ts';

const LOADS: Readonly<Record<string, string>> = {
  nothing: 'Nothing in the chuck',
  screw: 'Screw 5 × 60',
  stop: 'A hard stop',
  wood: 'Bit 16 mm, pine slat',
  steel: 'Bit 5 mm, steel plate',
  joint: 'Test joint, 6 N·m',
};
/** Below this the chuck counts as standing [rad/s]. */
const STANDS_RAD_S = 0.2;

/** State and what it means for the six switches. */
function stateOf(session: Session): { state: string; detail: string } {
  const { record, info } = session;
  const { now } = record;
  const legs = now[S.gates] === 0 ? 'all legs open' : 'legs switching';
  const trip = now[S.tripReason];
  if (record.headValue('fault')) return { state: 'Not valid', detail: 'the model stands still' };
  if (record.headValue('gone')) return { state: 'Controller lost', detail: 'all legs open, the drill coasts' };
  if (record.headValue('stopped')) return { state: 'Stopped', detail: 'all legs open' };
  if (!record.headValue('running') && record.headValue('again'))
    return { state: 'Rewound', detail: `to ${now[S.time].toFixed(4)} s` };
  if (!record.headValue('running')) return { state: 'Frozen', detail: `at ${now[S.time].toFixed(4)} s` };
  if (info.board && session.locked) return { state: 'Not armed', detail: 'the trigger is locked' };
  if (trip !== 0 && now[S.trigger] > 0) return { state: 'Tripped', detail: info.tripText[trip] ?? `reason ${trip}` };
  if (now[S.controllerState] === 0 && now[S.trigger] === 0)
    return { state: 'At rest', detail: 'no supply, all legs open' };
  const text = info.stateText[now[S.controllerState]] ?? (info.board ? `own state ${now[S.controllerState]}` : '');
  if (now[S.trigger] === 0) {
    const turns = Math.abs(now[S.chuckSpeed]) > STANDS_RAD_S;
    return {
      state: turns ? 'Running down' : 'At rest',
      detail: now[S.link] > 6 ? `${legs}, link runs down` : 'no supply',
    };
  }
  return { state: capital(text) || 'Driving', detail: legs };
}

/** Everything that the head shows. */
export function headFacts(session: Session, demonstration: boolean): HeadFacts {
  const { record, info, hands } = session;
  const { state, detail } = stateOf(session);
  const load = LOADS[info.loads[hands.meets]] ?? info.loads[hands.meets];
  return {
    job: session.scene?.title ?? 'Garden bench, by hand',
    jobDetail: `${load}. Gear ${hands.gear}.`,
    controller: info.board ? info.controller : builtInName(info.controller),
    coupling: couplingWords(session),
    troubles: troubles(session.news),
    gone: record.headValue('gone') === 1,
    state: demonstration && state === 'Driving' ? 'Demonstration' : state,
    stateDetail: session.recording === '' ? detail : `${session.recording}, ${detail}`,
    faults: faultCount(liveFaults(session)),
    lost_s: record.headValue('lost_s'),
  };
}

/** What Ahead says. */
export function aheadFacts(session: Session, demonstration: boolean): AheadFacts {
  const { record, info, hands } = session;
  const { now } = record;
  const hasScrew = info.loads[hands.meets] === 'screw';
  const depth_mm = now[S.screwDepth] * 1000;
  return {
    demonstration,
    locked: record.headValue('gone') ? 'lost' : session.locked ? 'not armed' : '',
    hasScrew: hasScrew && depth_mm >= 0,
    depth_mm: Number.isFinite(depth_mm) ? depth_mm : 0,
    seat_mm: info.screw.seat_m * 1000,
    advance_mm_s: ((now[S.chuckSpeed] * info.screw.pitch_m) / (2 * Math.PI)) * 1000,
    gear: hands.gear,
    pace: record.headValue('pace'),
    plan: session.scene && planAt(session.scene, now[S.time]),
  };
}

/** How time goes, in a sentence. */
export function timeWords(session: Session | undefined, running: boolean, pace: number): string {
  if (!running) return WORDS.stands;
  const life = session && lagsPace(session) ? lifeWords(session) : '';
  if (life !== '') return life;
  return pace === 1 ? WORDS.life : WORDS.slower(Math.round(1 / pace));
}
