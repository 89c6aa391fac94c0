/** What a run of a campaign leaves behind, however and wherever it was played: the command line and the page keep the same. */
import type { Hello } from '../protocol/hello.ts';
import type { Outcome } from '../runner/play.ts';
import type { Played } from './conduct.ts';

/** Result of a run that did not come about. */
export function notPlayed(verdict: Played['verdict'], why: string): Played {
  return {
    board: '',
    firmware: '',
    verdict,
    why,
    checks: [],
    virtual_s: 0,
    lostTime_s: 0,
    energyResidual: null,
    stateHash: '',
    faults: [],
  };
}

/** Result of a run that was played. */
export function playedOf(outcome: Outcome, { board, firmware }: Pick<Hello, 'board' | 'firmware'>): Played {
  const { verdict, why, checks, virtual_s, lostTime_s, energyResidual, stateHash, faults } = outcome;
  return {
    board,
    firmware,
    verdict,
    why,
    checks,
    virtual_s,
    lostTime_s,
    energyResidual: Number.isNaN(energyResidual) ? null : energyResidual,
    stateHash,
    faults,
  };
}
