/**
 * The calls of OpenCV that this project uses, typed by hand: opencv-ts lacks some and demands too much of others.
 *
 * The library's object has a `then`. Never await it and never return it bare from an async function: pass it on as an
 * argument, or boxed (`{ cv }`). What OpenCV throws are numbers. Whatever has `delete` must be deleted by its maker.
 */
export interface Cv {
  readonly Mat: MatMaker;
  readonly MatVector: new () => CvMatVector;
  readonly Size: new (width: number, height: number) => CvSize;
  readonly Point: new (x: number, y: number) => CvPoint;
  readonly Scalar: new (...values: number[]) => readonly number[];
  readonly Rect: new (x: number, y: number, width: number, height: number) => CvRect;

  matFromArray(rows: number, cols: number, type: number, values: ArrayLike<number>): CvMat;
  cvtColor(from: CvMat, to: CvMat, code: number): void;
  split(from: CvMat, to: CvMatVector): void;
  resize(from: CvMat, to: CvMat, size: CvSize, fx: number, fy: number, interpolation: number): void;
  GaussianBlur(from: CvMat, to: CvMat, size: CvSize, sigmaX: number): void;
  medianBlur(from: CvMat, to: CvMat, size: number): void;
  threshold(from: CvMat, to: CvMat, level: number, top: number, type: number): number;
  adaptiveThreshold(
    from: CvMat,
    to: CvMat,
    top: number,
    method: number,
    type: number,
    block: number,
    offset: number,
  ): void;
  morphologyEx(from: CvMat, to: CvMat, operation: number, kernel: CvMat): void;
  erode(from: CvMat, to: CvMat, kernel: CvMat): void;
  dilate(from: CvMat, to: CvMat, kernel: CvMat): void;
  getStructuringElement(shape: number, size: CvSize): CvMat;
  findContours(from: CvMat, to: CvMatVector, hierarchy: CvMat, mode: number, method: number): void;
  approxPolyDP(curve: CvMat, to: CvMat, epsilon: number, closed: boolean): void;
  contourArea(contour: CvMat, oriented?: boolean): number;
  arcLength(curve: CvMat, closed: boolean): number;
  isContourConvex(contour: CvMat): boolean;
  minAreaRect(points: CvMat): { readonly center: CvPoint; readonly size: CvSize; readonly angle: number };
  connectedComponentsWithStats(from: CvMat, labels: CvMat, stats: CvMat, centroids: CvMat): number;
  distanceTransform(from: CvMat, to: CvMat, distance: number, mask: number): void;
  HoughLinesP(
    from: CvMat,
    lines: CvMat,
    rho: number,
    theta: number,
    threshold: number,
    minLineLength: number,
    maxLineGap: number,
  ): void;
  watershed(image: CvMat, markers: CvMat): void;
  grabCut(
    image: CvMat,
    mask: CvMat,
    rect: CvRect,
    background: CvMat,
    foreground: CvMat,
    rounds: number,
    mode: number,
  ): void;
  exceptionFromPtr(pointer: number): { readonly msg: string };

  readonly CV_8UC1: number;
  readonly CV_8UC3: number;
  readonly CV_8UC4: number;
  readonly CV_32SC1: number;
  readonly CV_32SC2: number;
  readonly CV_32FC1: number;
  readonly CV_64FC1: number;
  readonly COLOR_RGBA2GRAY: number;
  readonly COLOR_RGBA2RGB: number;
  readonly COLOR_RGB2Lab: number;
  readonly COLOR_RGB2GRAY: number;
  readonly INTER_AREA: number;
  readonly INTER_LINEAR: number;
  readonly INTER_NEAREST: number;
  readonly THRESH_BINARY: number;
  readonly THRESH_BINARY_INV: number;
  readonly THRESH_OTSU: number;
  readonly ADAPTIVE_THRESH_MEAN_C: number;
  readonly MORPH_ERODE: number;
  readonly MORPH_DILATE: number;
  readonly MORPH_OPEN: number;
  readonly MORPH_CLOSE: number;
  readonly MORPH_RECT: number;
  readonly MORPH_ELLIPSE: number;
  readonly RETR_EXTERNAL: number;
  readonly RETR_LIST: number;
  readonly RETR_CCOMP: number;
  readonly CHAIN_APPROX_NONE: number;
  readonly CHAIN_APPROX_SIMPLE: number;
  readonly DIST_L2: number;
  readonly GC_INIT_WITH_MASK: number;
  readonly GC_BGD: number;
  readonly GC_FGD: number;
  readonly GC_PR_BGD: number;
  readonly GC_PR_FGD: number;
}

interface MatMaker {
  new (): CvMat;
  new (rows: number, cols: number, type: number): CvMat;
  zeros(rows: number, cols: number, type: number): CvMat;
  ones(rows: number, cols: number, type: number): CvMat;
}

export interface CvMat {
  readonly rows: number;
  readonly cols: number;
  /** Views of the heap: taken anew after any call, because the heap may have moved. */
  readonly data: Uint8Array;
  readonly data32S: Int32Array;
  readonly data32F: Float32Array;
  readonly data64F: Float64Array;
  delete(): void;
  roi(rect: CvRect): CvMat;
  clone(): CvMat;
  copyTo(to: CvMat): void;
  convertTo(to: CvMat, type: number, scale?: number, shift?: number): void;
  isContinuous(): boolean;
}

export interface CvMatVector {
  size(): number;
  /** A Mat of its own: delete it too. */
  get(index: number): CvMat;
  push_back(mat: CvMat): void;
  delete(): void;
}

export interface CvSize {
  readonly width: number;
  readonly height: number;
}

export interface CvPoint {
  readonly x: number;
  readonly y: number;
}

export interface CvRect extends CvSize, CvPoint {}
