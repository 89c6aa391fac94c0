/** Verdicts as letters, words and colors. A letter tells what the color tells, for who sees no color or prints in gray. */
import { type Html, html } from './html.ts';
import type { RunTold } from './model.ts';

export type Letter = 'P' | 'F' | 'N' | 'I' | 'L';

export interface LetterFacts {
  readonly word: string;
  readonly doc: string;
}

/** In the order of the legend. */
export const LETTERS: Readonly<Record<Letter, LetterFacts>> = {
  P: { word: 'passed', doc: 'every check holds' },
  F: { word: 'failed', doc: 'at least one check does not hold' },
  N: { word: 'not evaluated', doc: 'it was not run, or there was nothing to judge' },
  I: { word: 'invalid', doc: 'the run itself cannot be trusted: time was lost or energy does not balance' },
  L: { word: 'controller lost', doc: 'the controller stopped answering; neither passed nor failed' },
};

/** From the gravest to the best: what a cell with several runs shows. */
const GRAVEST: readonly Letter[] = ['F', 'L', 'I', 'N', 'P'];

const OF: Readonly<Record<string, Letter>> = {
  passed: 'P',
  pass: 'P',
  failed: 'F',
  fail: 'F',
  invalid: 'I',
  'controller lost': 'L',
};

/** Letter of a run or of a check; what this program does not know was not evaluated. */
export const letterOf = (verdict: string): Letter => (Object.hasOwn(OF, verdict) ? OF[verdict] : 'N');

export const gravest = (letters: readonly Letter[]): Letter => GRAVEST.find((each) => letters.includes(each)) ?? 'N';

/** The letter in its box. */
export const chip = (letter: Letter): Html =>
  html`<b class="chip ${letter.toLowerCase()}" title="${LETTERS[letter].word}">${letter}<span class="unseen"> ${LETTERS[letter].word}</span></b>`;

export interface Overall {
  readonly letter: Letter;
  /** Large, first. */ readonly word: string;
}

const WORDS: Readonly<Record<Letter, string>> = {
  P: 'Passed',
  F: 'Failed',
  N: 'Not evaluated',
  I: 'Not valid',
  L: 'Controller lost',
};

/** Of all runs together; nothing run is nothing passed. */
export function overall(runs: readonly Pick<RunTold, 'verdict'>[]): Overall {
  const letter = gravest(runs.map(({ verdict }) => letterOf(verdict)));
  return { letter, word: WORDS[letter] };
}
