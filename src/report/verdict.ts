/** Verdicts as letters, words and colors. A letter tells what the color tells, for who sees no color or prints in gray. */
import { type Html, html } from './html.ts';
import type { RunTold } from './model.ts';

export type Letter = 'P' | 'F' | 'N' | 'I' | 'L';

export interface LetterFacts {
  readonly word: string;
  /** What the word does not say by itself. */ readonly doc: string;
}

/** In the order of the legend. */
export const LETTERS: Readonly<Record<Letter, LetterFacts>> = {
  P: { word: 'passed', doc: '' },
  F: { word: 'failed', doc: '' },
  N: { word: 'not evaluated', doc: '' },
  I: { word: 'invalid', doc: 'time was lost or energy does not balance' },
  L: { word: 'controller lost', doc: 'neither passed nor failed' },
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
export const chip = (letter: Letter, bare = false): Html =>
  bare
    ? html`<b class="chip ${letter.toLowerCase()}">${letter}</b>`
    : html`<b class="chip ${letter.toLowerCase()}" title="${LETTERS[letter].word}">${letter}<span class="unseen"> ${LETTERS[letter].word}</span></b>`;

/** What the letters mean. */
export function legend(): Html {
  const items = Object.entries(LETTERS).map(([letter, { word, doc }]) => {
    return html`<li>${chip(letter as Letter, true)}<span>${word}${doc === '' ? '' : `: ${doc}`}</span></li>`;
  });
  return html`<ul class="legend" aria-label="Letters of verdicts">${items}</ul>`;
}

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
