/**
 * A controller in a process of its own that drives the motor with half the duty of the built-in one, for comparisons that
 * must find a difference: node --import tsx weak-controller.ts
 */
import { BUILT_IN, controllerNames } from '../../src/control/index.ts';
import { ServedController } from '../../src/links/served.ts';
import type { Controller } from '../../src/protocol/controller.ts';

const inner = BUILT_IN[controllerNames()[0]]();

const controller: Controller = {
  hello: { ...inner.hello, firmware: 'weak-1', watch: [{ name: 'angle', unit: 'turn', signal: 'rotorAngle' }] },
  tick(sense, drive) {
    const own = { ...drive, watch: new Float32Array(inner.hello.watch.length) };
    inner.tick(sense, own);
    Object.assign(drive, { ...own, watch: drive.watch.fill(0) });
    drive.dutyA >>= 1;
    drive.dutyB >>= 1;
    drive.dutyC >>= 1;
  },
};

const served = new ServedController(controller, (bytes) => process.stdout.write(Uint8Array.from(bytes)));
process.stdin.on('data', (chunk: Buffer) => served.receiver.push(chunk));
