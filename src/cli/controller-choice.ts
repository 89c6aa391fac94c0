/** Which controller drives the run: named on the command line, or the built-in one that the scenario names. */
import { controllerNames } from '../control/index.ts';
import { SetUpError } from '../links/errors.ts';
import { linkForms, linkPlace } from '../links/node-kinds.ts';
import { suggestion } from '../scenario/nearest.ts';

export interface ControllerChoice {
  /** `builtin`, or the kind of a link. */ readonly kind: string;
  /** Name, command line, or place. */ readonly what: string;
}

/** What may be named, for help texts. */
export const controllerForms = (): string => `builtin:NAME, ${linkForms()}`;

/** Reads the value of --controller. Throws SetUpError that says what is allowed. */
export function controllerChoice(text: string): ControllerChoice {
  try {
    const [, name] = /^builtin:(.*)$/s.exec(text) ?? [];
    if (name !== undefined) {
      if (controllerNames().includes(name)) return { kind: 'builtin', what: name };
      throw new SetUpError(`'${name}' is not built in; ${suggestion(name, controllerNames())}`);
    }
    const place = linkPlace(text);
    if (place) return place;
  } catch (error) {
    throw new SetUpError(`--controller ${text}: ${(error as Error).message}`);
  }
  throw new SetUpError(`--controller ${text}: allowed are ${controllerForms()}`);
}

/** The choice as reports name it. */
export function choiceText({ kind, what }: ControllerChoice): string {
  return `${kind}:${what}`;
}
