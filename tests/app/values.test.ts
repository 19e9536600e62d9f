import { describe, expect, test } from 'vitest';
import { printMeasurement, printNumber } from '../../src/app/words/values.ts';

describe('values as they are shown', () => {
  test('two figures of the uncertainty, the value to the same place', () => {
    const printed = printMeasurement({ id: 'length', unit: 'mm', value: 112.34567, u: 0.0421 });
    expect(printed).toMatchObject({ value: '112.346', u: '0.042', unit: 'mm' });
    expect(printed?.spoken).toBe('112.346 plus or minus 0.042 millimetres');
  });

  test('a true minus, and groups of three from five digits on', () => {
    expect(printMeasurement({ id: 'x', unit: 'mm', value: -1.234, u: 0.05 })?.value).toBe('−1.234');
    expect(printMeasurement({ id: 'x', unit: 'mm3', value: 34567.8, u: 21 })?.value).toBe('34\u202f568');
    expect(printMeasurement({ id: 'x', unit: 'mm2', value: 3456.78, u: 2.1 })?.value).toBe('3456.8');
  });

  test('without an uncertainty four figures are shown, and none after the point of a count', () => {
    expect(printMeasurement({ id: 'x', unit: '1', value: 0.472048 })?.value).toBe('0.472');
    expect(printMeasurement({ id: 'x', unit: 'percent', value: 98.7654 })?.value).toBe('98.77');
    expect(printMeasurement({ id: 'x', unit: 'count', value: 3, u: 0.5 })).toMatchObject({
      value: '3',
      u: '',
    });
    expect(printMeasurement({ id: 'x', unit: 'mm2', value: 123456 })?.value).toBe('123\u202f456');
  });

  test('a least value says so; a value that is not to be had is none', () => {
    expect(printMeasurement({ id: 'length', unit: 'mm', value: 64.2, u: 0.11, minimum: true })?.value).toBe(
      '≥ 64.20',
    );
    expect(printMeasurement({ id: 'x', unit: 'mm', value: null, reason: 'no face' })).toBeNull();
    expect(printMeasurement({ id: 'x', unit: 'text', value: 'biconvex' })).toMatchObject({
      value: 'biconvex',
      unit: '',
    });
  });

  test('nothing is ever minus zero', () => {
    expect(printNumber(-0.04, 1)).toBe('0.0');
    expect(printNumber(-0.06, 1)).toBe('−0.1');
  });
});
