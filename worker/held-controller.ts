import type { Controller } from '../src/protocol/controller.ts';
import type { Drive, Sense } from '../src/protocol/frames.ts';
import type { Hello } from '../src/protocol/hello.ts';

/**
 * A controller whose legs a person can open at once, whatever it commands. It stands where the enable line of a gate
 * driver would be: the controller inside goes on and knows nothing of it.
 */
export class HeldController implements Controller {
  readonly hello: Hello;
  /** True opens all legs from the next update point on. */ held = false;
  private readonly inner: Controller;

  constructor(inner: Controller) {
    this.hello = inner.hello;
    this.inner = inner;
  }

  tick(sense: Sense, drive: Drive): void {
    this.inner.tick(sense, drive);
    if (this.held) drive.gates = 0;
  }
}
