/** From a file of the library or of the person to what can be played; what is included comes from beside it or from the library. */
import { loadCampaign } from '../src/campaign/load.ts';
import { type Including, placeBelow } from '../src/scenario/include.ts';
import { loadScenario } from '../src/scenario/load.ts';
import { kindOf, LIBRARY } from './library.ts';
import type { OpenedFile, ReadFile } from './runs-api.ts';

export function readFile({ name, text }: OpenedFile, beside: readonly OpenedFile[] = []): ReadFile {
  if (kindOf(text) === 'scenario') {
    const read = loadScenario(text, name, including(name, beside));
    return read.ok ? { ok: true, kind: 'scenario', scenario: read.scenario } : read;
  }
  const read = loadCampaign(text, name, (named) => {
    const place = placeBelow(under(name), named)?.replace(ROOT, '');
    if (place === undefined)
      throw new Error('allowed is a path below the scenario folder, relative to this file, with /');
    return { ...find(place, beside), including: including(place, beside) };
  });
  return read.ok ? { ok: true, kind: 'campaign', plan: read.plan } : read;
}

/** Place of the folder of scenarios: a path that leaves it is refused, one within it may go up. */
const ROOT = /^scenarios\//;
const under = (place: string): string => `scenarios/${place}`;

function including(at: string, beside: readonly OpenedFile[]): Including {
  return { at, read: (place) => find(place, beside) };
}

/** Throws Error with the reason when nobody has it. */
function find(place: string, beside: readonly OpenedFile[]): { readonly text: string; readonly file: string } {
  const last = place.slice(place.lastIndexOf('/') + 1);
  const opened = beside.find(({ name }) => name === place) ?? beside.find(({ name }) => name === last);
  if (opened) return { text: opened.text, file: opened.name };
  const text = LIBRARY.get(place);
  if (text !== undefined) return { text, file: place };
  throw new Error(`'${place}' was not opened with it and is not in the library; open both files together`);
}
