/** Requirements, and which runs and checks stand for each. */
import { type Html, html } from '../html.ts';
import type { RunTold } from '../model.ts';
import { chip, gravest, type Letter, letterOf } from '../verdict.ts';
import { runName } from '../words.ts';
import { type Links, type Section, section } from './section.ts';

interface Evidence {
  readonly letter: Letter;
  readonly what: string;
  readonly run: RunTold;
}

/** Evidence by requirement, in the order of their ids. A check that names none stands for those of its scenario. */
export function coverageOf(runs: readonly RunTold[]): Map<string, Evidence[]> {
  const found = new Map<string, Evidence[]>();
  const add = (id: string, evidence: Evidence) => found.set(id, [...(found.get(id) ?? []), evidence]);
  for (const run of runs) {
    for (const id of run.requirements) add(id, { letter: letterOf(run.verdict), what: runName(run), run });
    for (const { name, verdict, requirements } of run.checks) {
      // A check of a run that cannot be trusted proves nothing, whatever it says.
      const letter = ['P', 'F'].includes(letterOf(run.verdict)) ? letterOf(verdict) : letterOf(run.verdict);
      for (const id of requirements) add(id, { letter, what: `${name}, ${runName(run)}`, run });
    }
  }
  const ids = [...found.keys()].sort((a, b) => a.localeCompare(b, 'en', { numeric: true }));
  return new Map(ids.map((id) => [id, found.get(id) as Evidence[]]));
}

/** Most pieces of evidence that are listed for a requirement; the rest is counted. */
const LISTED = 12;

export function coverageSection(runs: readonly RunTold[], links: Links): Section {
  const covered = coverageOf(runs);
  const note = 'Requirements that scenarios and checks name, and how what stands for each ended.';
  if (covered.size === 0) {
    return section('coverage', 'Requirements', note, html`<p>No scenario and no check names a requirement.</p>`);
  }
  const rows = [...covered].map(([id, evidence]) => {
    const letters = evidence.map(({ letter }) => letter);
    return html`<tr><td class="cell">${chip(gravest(letters))}</td><th scope="row" class="nowrap">${id}</th><td class="num">${letters.filter((each) => each === 'P').length} of ${letters.length}</td><td>${listOf(evidence, links)}</td></tr>`;
  });
  return section(
    'coverage',
    'Requirements',
    note,
    html`<table><thead><tr><th scope="col" class="cell"><span class="unseen">Verdict</span></th><th scope="col">Requirement</th><th scope="col" class="num">Passed</th><th scope="col">Stands on</th></tr></thead><tbody>${rows}</tbody></table>`,
  );
}

function listOf(evidence: readonly Evidence[], links: Links): Html {
  // What did not pass comes first: it must not be among those that are only counted.
  const order = [...evidence].sort((a, b) => Number(a.letter === 'P') - Number(b.letter === 'P'));
  const items = order.slice(0, LISTED).map(({ letter, what, run }, k) => {
    return html`${k > 0 ? '; ' : ''}${letter === 'P' ? '' : html`${letter}: `}${links.to(run, what)}`;
  });
  return html`<span class="small any">${items}${order.length > LISTED ? `; and ${order.length - LISTED} more` : ''}</span>`;
}
