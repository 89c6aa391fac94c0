import type { Drive, Sense } from './frames.ts';
import type { Hello } from './hello.ts';

/**
 * A controller in the same process: built in, or firmware compiled to WebAssembly. It sees what a board would see
 * and nothing else, and its work of one tick is done when `tick` returns.
 */
export interface Controller {
  readonly hello: Hello;
  /**
   * Answers one Sense. Fills every field of `drive`, whose watch list has hello.watch.length places; must not keep
   * either object, must not throw. On SENSE_BOOT it forgets everything it knew.
   */
  tick(sense: Sense, drive: Drive): void;
}
