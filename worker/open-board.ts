/** From a place to a board that is welcome: opened, introduced, found to fit the drill. */
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

export interface OpenedBoard {
  readonly ok: true;
  readonly link: LockStepLink;
  /** Resolves when the board is lost, be it asked or not. */ readonly lost: Promise<LinkLoss>;
}
export type Opened = OpenedBoard | Refused;

/** Opens a lock-step link over a wire and welcomes the board, or tells it and the person why not. Never rejects. */
export async function openBoard(wire: Wire, drill: DrillParams, board: BoardParams): Promise<Opened> {
  const session = new Session(wire);
  const lost = new Promise<LinkLoss>((resolve) => {
    session.onLost = resolve;
  });
  let link: LockStepLink;
  try {
    link = await openPeer(wire, session, { exchange: (sense: Sense, drive: Drive) => session.exchange(sense, drive) });
  } catch (error) {
    return refused(error);
  }
  const found = misfits(link.hello, board, drill);
  if (found.length > 0) {
    link.refuse(REFUSE_MISFIT, found[0]);
    await link.close();
    return { ok: false, why: 'misfit', lines: found };
  }
  const { pwm_Hz, updates } = drill.bridge;
  link.welcome({ coupling: COUPLING_LOCK_STEP, tick_s: 1 / (pwm_Hz * updates) });
  return { ok: true, link, lost };
}

/** What an error of opening means. Anything that no link throws is a defect and goes on. */
export function refused(error: unknown): Refused {
  if (error instanceof LinkLostError) return { ok: false, why: error.loss.cause, lines: [error.message] };
  if (error instanceof SetUpError) return { ok: false, why: 'set-up', lines: [error.message] };
  throw error;
}
