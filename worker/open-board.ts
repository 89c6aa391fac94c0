/** From a wire to a board that is welcome: introduced, found to fit the drill. */
import { LinkLostError, SetUpError } from '../src/links/errors.ts';
import type { LinkLoss, LockStepLink } from '../src/links/link.ts';
import { openPeer } from '../src/links/peer.ts';
import { Session } from '../src/links/session.ts';
import type { Wire } from '../src/links/wire.ts';
import type { DrillParams } from '../src/plant/params.ts';
import { COUPLING_LOCK_STEP, type Drive, REFUSE_MISFIT, type Sense } from '../src/protocol/frames.ts';
import { misfits } from '../src/runner/fit.ts';
import type { BoardParams } from '../src/sensing/board.ts';
import type { Refused } from './api.ts';

/** A board that has said Hello; what it is good for is not known yet. */
export interface Introduced {
  readonly link: LockStepLink;
  /** Resolves when the board is lost, be it asked or not. */ readonly lost: Promise<LinkLoss>;
}
export type Opened = ({ readonly ok: true } & Introduced) | Refused;

/** Greets and waits for Hello. Rejects with LinkLostError; then the wire is closed. */
export async function introduce(wire: Wire): Promise<Introduced> {
  const session = new Session(wire);
  const lost = new Promise<LinkLoss>((resolve) => {
    session.onLost = resolve;
  });
  const exchange = (sense: Sense, drive: Drive) => session.exchange(sense, drive);
  return { link: await openPeer(wire, session, { exchange }), lost };
}

/** Welcomes a board that fits the drill; else tells it and the person why not. Never rejects. */
export async function admit(introduced: Introduced, drill: DrillParams, board: BoardParams): Promise<Opened> {
  const { link } = introduced;
  const found = misfits(link.hello, board, drill);
  if (found.length > 0) {
    link.refuse(REFUSE_MISFIT, found[0]);
    await link.close();
    return { ok: false, why: 'misfit', lines: found };
  }
  const { pwm_Hz, updates } = drill.bridge;
  link.welcome({ coupling: COUPLING_LOCK_STEP, tick_s: 1 / (pwm_Hz * updates) });
  return { ok: true, ...introduced };
}

/** What an error of opening means. Anything that no link throws is a defect and goes on. */
export function refused(error: unknown): Refused {
  if (error instanceof LinkLostError) return { ok: false, why: error.loss.cause, lines: [error.message] };
  if (error instanceof SetUpError) return { ok: false, why: 'set-up', lines: [error.message] };
  throw error;
}
