/** Encoders and decoders in C, byte by byte with shifts: packing, alignment and byte order never come up. */
import { endsFrame, type Field, type Frame } from '../dsl.ts';
import { constantName, snake, typeName } from './words.ts';

/** `phantom_<frame>_encode`: structure to payload. */
export function writeFunction(frame: Frame): string[] {
  const type = typeName(frame);
  const { lines, list } = walk(frame, writeLines);
  const room = constantName(frame.name) + (list ? '_SIZE_MOST' : '_SIZE');
  return [
    `/* Writes the payload of ${frame.name}. Precondition: out has room for PHANTOM_${room} bytes.`,
    ` * Returns the number of bytes written; cannot fail.${list ? ` A ${list}_count above its limit counts as that.` : ''} */`,
    `static inline size_t ${type}_encode(const ${type} *m, uint8_t *out)`,
    '{',
    ...(lines.length > 0 && list ? [`    size_t o = ${frame.bytes};`] : []),
    ...lines,
    `    return ${list ? 'o' : `PHANTOM_${constantName(frame.name)}_SIZE`};`,
    '}',
  ];
}

/** `phantom_<frame>_decode`: payload to structure. */
export function readFunction(frame: Frame): string[] {
  const type = typeName(frame);
  const { lines, list, step } = walk(frame, readLines);
  const size = `PHANTOM_${constantName(frame.name)}_SIZE`;
  const whole = step > 1 ? ` || (size - ${size}) % ${step}u != 0u` : '';
  const wrong = list ? `size < ${size} || size > ${size}_MOST${whole}` : `size != ${size}`;
  return [
    `/* Reads the payload of ${frame.name}. Returns 1, or 0 when size is not one of this frame; then *m is as it was. */`,
    `static inline int ${type}_decode(${type} *m, const uint8_t *in, size_t size)`,
    '{',
    `    if (${wrong}) return 0;`,
    ...lines,
    '    return 1;',
    '}',
  ];
}

function walk(frame: Frame, linesOf: (name: string, field: Field, o: number) => string[]) {
  const lines: string[] = [];
  let o = 0;
  let list = '';
  let step = 1;
  for (const [name, field] of Object.entries(frame.fields)) {
    lines.push(...linesOf(name, field, o));
    if (endsFrame(field)) {
      list = snake(name);
      step = field.size;
    }
    o += field.size;
  }
  return { lines, list, step };
}

function writeLines(name: string, field: Field, o: number): string[] {
  const bytes = Array.from({ length: field.size }, (_, k) => k);
  if (field.kind === 'pad') return bytes.map((k) => `    out[${o + k}] = 0;`);
  const count = `    const uint8_t count = m->${snake(name)}_count > ${field.most}u ? ${field.most}u : m->${snake(name)}_count;`;
  if (field.kind === 'text') {
    return [count, `    memcpy(out + o, m->${snake(name)}, count);`, '    o += count;'];
  }
  if (field.kind === 'f32') {
    return [
      '    {',
      '        uint32_t bits;',
      `        memcpy(&bits, &m->${snake(name)}, sizeof bits); /* float is IEEE 754 binary32 */`,
      ...bytes.map((k) => `        out[${o + k}] = (uint8_t)${k === 0 ? 'bits' : `(bits >> ${8 * k})`};`),
      '    }',
    ];
  }
  if (field.kind === 'f32s') {
    return [
      count,
      '    for (uint8_t k = 0; k < count; k++) {',
      '        uint32_t bits;',
      `        memcpy(&bits, &m->${snake(name)}[k], sizeof bits); /* float is IEEE 754 binary32 */`,
      ...bytes.map((k) => `        out[o++] = (uint8_t)(bits${k === 0 ? '' : ` >> ${8 * k}`});`),
      '    }',
    ];
  }
  return bytes.map(
    (k) => `    out[${o + k}] = (uint8_t)${k === 0 ? `m->${snake(name)}` : `(m->${snake(name)} >> ${8 * k})`};`,
  );
}

function readLines(name: string, field: Field, o: number): string[] {
  const to = `m->${snake(name)}`;
  if (field.kind === 'u8') return [`    ${to} = in[${o}];`];
  if (field.kind === 'u16') return [`    ${to} = (uint16_t)(in[${o}] | (in[${o + 1}] << 8));`];
  if (field.kind === 'u32') {
    const part = (k: number) => `((uint32_t)in[${o + k}] << ${8 * k})`;
    return [`    ${to} = (uint32_t)in[${o}] | ${part(1)} | ${part(2)} | ${part(3)};`];
  }
  if (field.kind === 'pad') return [];
  if (field.kind === 'text') {
    return [
      `    ${to}_count = (uint8_t)(size - ${o}u);`,
      `    memcpy(${to}, in + ${o}, ${to}_count);`,
      `    ${to}[${to}_count] = 0;`,
    ];
  }
  if (field.kind === 'f32') {
    const part = (k: number) => `((uint32_t)in[${o + k}] << ${8 * k})`;
    return [
      '    {',
      `        const uint32_t bits = (uint32_t)in[${o}] | ${part(1)} | ${part(2)} | ${part(3)};`,
      `        memcpy(&${to}, &bits, sizeof bits);`,
      '    }',
    ];
  }
  return [
    `    ${to}_count = (uint8_t)((size - ${o}u) / 4u);`,
    `    for (uint8_t k = 0; k < ${to}_count; k++) {`,
    `        const uint8_t *p = in + ${o} + 4 * k;`,
    '        const uint32_t bits =',
    '            (uint32_t)p[0] | ((uint32_t)p[1] << 8) | ((uint32_t)p[2] << 16) | ((uint32_t)p[3] << 24);',
    `        memcpy(&${to}[k], &bits, sizeof bits);`,
    '    }',
  ];
}
