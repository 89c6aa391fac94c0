/** The committed results of ngspice belong to the decks as they are; whether it still finds them, .ci/run asks. */
import { describe, expect, it } from 'vitest';
import { deckHash, deckNames, readResults } from '../spice/deck.ts';

const { decks, ngspice } = readResults();

describe('results of ngspice', () => {
  it('are there for every deck and for no other', () => {
    expect(deckNames().length).toBeGreaterThan(0);
    expect(Object.keys(decks).sort()).toEqual(deckNames());
    expect(ngspice).toMatch(/^\d/);
  });

  it.each(deckNames())('of %s were made from its present text', (name) => {
    expect(decks[name]?.hash, `${name}.cir was edited: run npm run spice`).toBe(deckHash(name));
  });

  it.each(deckNames())('of %s hold something, and only finite numbers', (name) => {
    const all = [...Object.values(decks[name].numbers), ...Object.values(decks[name].wave).flat()];
    expect(all.length).toBeGreaterThan(0);
    expect(all.every(Number.isFinite)).toBe(true);
  });
});
