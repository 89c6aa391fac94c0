/** HTML by templates in which every text is escaped unless it was made by a template itself. */
import { escapedAttribute } from './escape.ts';

/** Markup that was made here. */
export class Html {
  readonly text: string;

  constructor(text: string) {
    this.text = text;
  }
}

export type Part = Html | string | number | undefined | readonly Part[];

/** Puts parts into markup; safe between tags and inside attributes in double quotes. */
export function html(strings: TemplateStringsArray, ...parts: readonly Part[]): Html {
  return new Html(strings.reduce((text, each, k) => text + markup(parts[k - 1]) + each));
}

function markup(part: Part): string {
  if (part === undefined) return '';
  if (part instanceof Html) return part.text;
  if (typeof part === 'string') return escapedAttribute(part).replaceAll('&#10;', '\n');
  if (typeof part === 'number') return String(part);
  return part.map(markup).join('');
}

/** Text that is markup already and holds nothing of a person, such as the path of a curve. */
export const raw = (text: string): Html => new Html(text);
