/**
 * A controller in a process of its own that goes wrong on purpose: node --import tsx wayward-controller.ts WAY TICK
 * serves the built-in controller on stdio and, at the given tick, does what WAY says.
 */
import { BUILT_IN, controllerNames } from '../../src/control/index.ts';
import { ServedController } from '../../src/links/served.ts';
import type { Controller } from '../../src/protocol/controller.ts';

const [way, tickText] = process.argv.slice(2);
const at = Number(tickText);
const inner = BUILT_IN[controllerNames()[0]]();
const hello = way === 'misfit' ? { ...inner.hello, pwm_Hz: 16_000 } : inner.hello;
let silent = false;

const controller: Controller = {
  hello,
  tick(sense, drive) {
    inner.tick(sense, drive);
    if (sense.tick < at) return;
    if (way === 'die') {
      process.stderr.write('out of larch\n');
      process.exit(7);
    }
    if (way === 'hang' || way === 'garbage') silent = true;
    if (way === 'garbage') process.stdout.write(Buffer.alloc(20_000, 'sawdust'));
  },
};

const served = new ServedController(controller, (bytes) => {
  if (!silent) process.stdout.write(Uint8Array.from(bytes));
});
process.stdin.on('data', (chunk: Buffer) => served.receiver.push(chunk));
