import type { Cv } from '../../../src/intake/photoOpencv.ts';

export { loadOpencv } from '../../../workers/opencv.node.ts';

interface Deletable {
  delete(): void;
}

/**
 * The same OpenCV with a count of what was made and not yet deleted: matrices, vectors, and matrices taken out of
 * vectors. A leak in the heap of WebAssembly shows nowhere else.
 */
export function countingOpencv(cv: Cv): { cv: Cv; alive: () => number } {
  let alive = 0;
  const counted = <Made extends Deletable>(made: Made): Made => {
    alive++;
    const original = made.delete.bind(made);
    made.delete = () => {
      alive--;
      original();
    };
    return made;
  };
  const making = (maker: new (...given: never[]) => Deletable): unknown =>
    new Proxy(maker, {
      construct(target, given) {
        const made = counted(
          Reflect.construct(target, given) as Deletable & { get?: (index: number) => Deletable },
        );
        if (made.get !== undefined) {
          const get = made.get.bind(made);
          made.get = (index) => counted(get(index));
        }
        return made;
      },
    });
  const makers: Readonly<Record<string, unknown>> = { Mat: making(cv.Mat), MatVector: making(cv.MatVector) };
  const counting = new Proxy(cv, {
    get: (target, name) => makers[String(name)] ?? Reflect.get(target, name),
  });
  return { cv: counting, alive: () => alive };
}
