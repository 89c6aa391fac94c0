/**
 * npm run spice             runs every deck and writes results.json
 * npm run spice -- --check  runs every deck and fails when results.json says something else
 *
 * A repeated run on one machine gives the same bits. Another library or processor may round a sine otherwise, and then the
 * steps of ngspice fall elsewhere around the moment at which a diode runs empty: moving an input by some 1e-14 of itself
 * moved numbers of five decks with diodes by up to 4e-6 of the largest of their column. The check allows 2e-5.
 * It finds results that belong to another circuit or another ngspice; a deck that was edited shows in its hash besides.
 */
import { spawnSync } from 'node:child_process';
import { existsSync, writeFileSync } from 'node:fs';
import { type DeckResults, deckNames, RESULTS, type Results, readResults } from './deck.ts';
import { ngspiceVersion, runDeck } from './ngspice.ts';

/** What a number may move by, as a share of the largest of its column. */
const SHARE = 2e-5;

interface Row {
  readonly name: string;
  readonly value: number;
  readonly tolerance: number;
}

/** Every number of a deck with what it may move by. */
function rowsOf(results: DeckResults): Row[] {
  const rows: Row[] = Object.entries(results.numbers).map(([name, value]) => ({
    name,
    value,
    tolerance: SHARE * Math.abs(value),
  }));
  for (const [name, values] of Object.entries(results.wave)) {
    const tolerance = SHARE * Math.max(...values.map(Math.abs));
    values.forEach((value, k) => {
      rows.push({ name: `${name}[${k}]`, value, tolerance });
    });
  }
  return rows;
}

/** What is stale in the committed results of a deck, in words; empty when nothing is. */
function complaints(name: string, old: DeckResults | undefined, fresh: DeckResults): string[] {
  if (!old) return [`${name}: results.json has no such deck`];
  const wrong: string[] = [];
  if (old.hash !== fresh.hash) wrong.push(`${name}: the deck was edited since (hash ${old.hash}, now ${fresh.hash})`);
  const olds = new Map(rowsOf(old).map((row) => [row.name, row.value]));
  for (const { name: row, value, tolerance } of rowsOf(fresh)) {
    const was = olds.get(row);
    olds.delete(row);
    if (was === undefined) wrong.push(`${name}: ${row} is missing, now ${value}`);
    else if (!(Math.abs(was - value) <= tolerance)) {
      wrong.push(`${name}: ${row} was ${was}, is ${value}; tolerance ${tolerance}`);
    }
  }
  for (const row of olds.keys()) wrong.push(`${name}: ${row} is in results.json, the deck does not ask for it`);
  return wrong;
}

function check(version: string, fresh: Record<string, DeckResults>): void {
  const old = readResults();
  const names = [...new Set([...Object.keys(fresh), ...Object.keys(old.decks)])];
  const wrong = names.flatMap((name) =>
    fresh[name] ? complaints(name, old.decks[name], fresh[name]) : [`${name}: in results.json, but there is no deck`],
  );
  if (wrong.length > 0) {
    console.error(wrong.slice(0, 40).join('\n'));
    console.error(`${wrong.length} stale (results.json: ngspice ${old.ngspice}, here ${version}); run npm run spice`);
    process.exit(1);
  }
  const count = Object.values(fresh).reduce((sum, each) => sum + rowsOf(each).length, 0);
  console.log(`${names.length} decks, ${count} numbers agree (results.json: ngspice ${old.ngspice}, here ${version})`);
}

function write(results: Results): void {
  writeFileSync(RESULTS, JSON.stringify(results));
  const done = spawnSync('npx', ['biome', 'format', '--write', RESULTS], { encoding: 'utf8' });
  if (done.status !== 0 || !existsSync(RESULTS)) throw new Error(`biome did not format results.json:\n${done.stderr}`);
  console.log(`${Object.keys(results.decks).length} decks written to ${RESULTS}`);
}

function main(args: string[]): void {
  const unknown = args.filter((arg) => arg !== '--check');
  if (unknown.length > 0) throw new Error(`unknown ${unknown.join(' ')}; allowed is --check`);
  const version = ngspiceVersion();
  const fresh = Object.fromEntries(deckNames().map((name) => [name, runDeck(name)]));
  if (args.includes('--check')) check(version, fresh);
  else write({ ngspice: version, decks: fresh });
}

try {
  main(process.argv.slice(2));
} catch (error) {
  console.error((error as Error).message);
  process.exit(1);
}
