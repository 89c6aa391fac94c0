/** The list of files: those from disk, then the library by its folders. One stop for Tab; arrows move. */
import { html, nothing } from 'lit';
import type { LibraryRow, OpenedFile } from '../../worker/api.ts';
import { WORDS } from './words.ts';

export interface FileListFacts {
  readonly rows: readonly LibraryRow[];
  readonly opened: readonly OpenedFile[];
  readonly query: string;
  readonly chosen: string | undefined;
  search(query: string): void;
  choose(name: string, from: 'library' | 'disk'): void;
}

export function fileList({ rows, opened, query, chosen, search, choose }: FileListFacts) {
  const hits = rows.filter((row) => holds(row, query));
  const stop = hits.some(({ place }) => place === chosen) ? chosen : hits[0]?.place;
  const hit = ({ place, title, kind }: LibraryRow) => html`<button class="hit" aria-pressed=${place === chosen}
    tabindex=${place === stop ? 0 : -1} @click=${() => choose(place, 'library')}>${title}${
      kind === 'campaign' ? html` <small>${WORDS.campaignFile}</small>` : nothing
    }</button>`;
  const typed = (e: Event) => search((e.target as HTMLInputElement).value);
  return html`<section class="list" aria-label=${WORDS.library}>
    <div class="find">
      <label for="find">${WORDS.search}</label>
      <input id="find" type="search" autocomplete="off" spellcheck="false" .value=${query} @input=${typed} @keydown=${down} />
      <span class="count" role="status">${rows.length > 0 ? WORDS.found(hits.length, rows.length) : nothing}</span>
    </div>
    <div class="hits" @keydown=${moved}>
      ${
        opened.length > 0
          ? html`<h3>${WORDS.opened}</h3>${opened.map(
              ({ name }) =>
                html`<button class="hit" aria-pressed=${name === chosen} @click=${() => choose(name, 'disk')}>${name}</button>`,
            )}`
          : nothing
      }
      ${hits.length === 0 && rows.length > 0 ? html`<p class="none">${WORDS.noneFound}</p>` : nothing}
      ${byFolder(hits).map(([folder, own]) => html`<h3>${WORDS.folders[folder] ?? capital(folder)}</h3>${own.map(hit)}`)}
    </div>
  </section>`;
}

/** All words of the question stand somewhere in place, title or sentence. */
export function holds({ place, title, shows, kind }: LibraryRow, query: string): boolean {
  const text = `${place} ${title} ${shows} ${kind}`.toLowerCase();
  return query
    .toLowerCase()
    .split(/\s+/)
    .every((word) => text.includes(word));
}

export function byFolder(rows: readonly LibraryRow[]): [string, LibraryRow[]][] {
  const folders = new Map<string, LibraryRow[]>();
  for (const row of rows) {
    const folder = row.place.includes('/') ? row.place.slice(0, row.place.lastIndexOf('/')) : '';
    folders.set(folder, [...(folders.get(folder) ?? []), row]);
  }
  return [...folders];
}

const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/** From the search to the first hit. */
function down(e: KeyboardEvent): void {
  if (e.key !== 'ArrowDown' && e.key !== 'Enter') return;
  e.preventDefault();
  const list = (e.target as HTMLElement).closest('.list');
  list?.querySelector<HTMLElement>('.hit[tabindex="0"]')?.focus();
}

function moved(e: KeyboardEvent): void {
  const step = { ArrowDown: 1, ArrowUp: -1, Home: Number.NEGATIVE_INFINITY, End: Number.POSITIVE_INFINITY }[e.key];
  if (step === undefined) return;
  e.preventDefault();
  const all = [...(e.currentTarget as HTMLElement).querySelectorAll<HTMLElement>('.hit')];
  const at = all.indexOf(e.target as HTMLElement) + step;
  all[Math.max(0, Math.min(all.length - 1, at))]?.focus();
}
