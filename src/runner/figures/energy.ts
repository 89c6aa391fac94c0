/**
 * From the cells to the chuck, out of the energy accounts of the plant.
 *
 * What the cells gave is the sum of all accounts, growth of what is stored and what does not balance included: the audit of
 * the plant read from right to left. Work on the load is what hand, stop, screw, bit or joint took.
 */
import { ACCOUNTS } from '../../plant/audit.ts';
import type { Outcome } from '../play.ts';
import { type Figure, figureOf } from './figure.ts';

const LOAD = ACCOUNTS.find(([name]) => name === 'work')?.[1] ?? '';

export type EnergyOutcome = Pick<Outcome, 'accounts_J' | 'energyResidual' | 'passed_J'>;

/** Energy out of the cells, net of what went back [J]. */
export function given_J({ accounts_J, energyResidual, passed_J }: EnergyOutcome): number {
  return Object.values(accounts_J).reduce((sum, each) => sum + each, energyResidual * passed_J);
}

export function energyFigures(outcome: EnergyOutcome): Figure[] {
  const given = given_J(outcome);
  const work = outcome.accounts_J[LOAD] ?? Number.NaN;
  const joule = { unit: 'J', show: 'J', better: null } as const;
  const share = { unit: '', show: '%', better: 'higher' } as const;
  return [
    figureOf({ id: 'cellEnergy', what: 'energy out of the cells', ...joule }, given, 'there is no account'),
    figureOf({ id: 'loadWork', what: 'work on the load', ...joule }, work, 'there is no account'),
    figureOf(
      { id: 'efficiency', what: 'efficiency, cells to load', ...share },
      given > 0 ? work / given : Number.NaN,
      'the cells gave no energy',
    ),
  ];
}
