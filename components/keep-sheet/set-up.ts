/** Takes the set-up of a session, and puts one on it. */
import { SIGNAL_INDEX } from '../../src/signals.ts';
import type { Channel, FaultAsk } from '../../worker/api.ts';
import type { SetUp } from '../../worker/set-up-link.ts';
import { armFault, askOf, liveFaults } from '../session/faults.ts';
import { AT_REST, DRILL, type HandsHeld, type Session } from '../session/session.ts';
import { keep, recall } from '../wave-bench/kept.ts';
import { KEEP_WORDS as WORDS } from './words.ts';

/** The controller in the place of a board: who joins one does so by hand. */
export const DEFAULT_CONTROLLER = 'hall-six-step';
/** Time that the waves show when a link opens them [s]. */
const SPAN_S = 2;
const HAND_NAMES = ['direction', 'gear', 'meets', 'grip_Nm', 'clutch', 'wrist', 'push_N'] as const;

/** What stands otherwise than in a fresh page. */
export function takeSetUp(session: Session): SetUp {
  const { info, hands } = session;
  const moved = HAND_NAMES.filter((name) => hands[name] !== AT_REST[name]);
  const pace = session.record.headValue('pace');
  const faults = liveFaults(session).flatMap(({ handle }) => askOf(session, handle) ?? []);
  const signals = (recall()?.picked ?? []).filter((name) => !name.startsWith('watch '));
  return {
    drill: info.drill,
    controller: info.board ? DEFAULT_CONTROLLER : info.controller,
    ...(pace > 0 && pace < 1 ? { pace } : {}),
    ...(moved.length > 0 ? { hands: Object.fromEntries(moved.map((name) => [name, hands[name]])) } : {}),
    ...(faults.length > 0 ? { faults: faults as NonNullable<SetUp['faults']> } : {}),
    ...(signals.length > 0 ? { signals } : {}),
  };
}

/** Puts a set-up on a session. Rejects with what is wrong in it. */
export async function applySetUp(session: Session, setUp: SetUp): Promise<void> {
  const { drills, controllers } = await session.api.catalog();
  if (!drills.includes(setUp.drill)) throw new RangeError(WORDS.noDrill(setUp.drill, drills));
  if (!controllers.includes(setUp.controller)) throw new RangeError(WORDS.noController(setUp.controller, controllers));
  const lost = setUp.signals?.find((name) => !Object.hasOwn(SIGNAL_INDEX, name));
  if (lost !== undefined) throw new RangeError(WORDS.noSignal(lost));
  await session.useBuiltIn(setUp.controller, setUp.drill);
  const hands: Partial<HandsHeld> = { ...AT_REST, ...setUp.hands };
  await session.api.setHands(hands); // waited for: it says what this drill does not have
  session.setHands(hands);
  await session.api.setPace(setUp.pace ?? 1);
  for (const ask of setUp.faults ?? []) await armFault(session, ask as FaultAsk);
  const { signals } = setUp;
  if (signals) keep({ apart: [], span_s: SPAN_S, scales: {}, ...recall(), picked: signals as Channel[] });
}

/** Puts a session as it is for a first visit. */
export async function firstVisit(session: Session): Promise<void> {
  session.setHands(AT_REST); // before another bench takes over the hands of this one
  await session.useBuiltIn(DEFAULT_CONTROLLER, DRILL);
  await session.api.setPace(1);
}
