declare module 'gltf-validator' {
  export interface Report {
    readonly issues: {
      readonly numErrors: number;
      readonly numWarnings: number;
      readonly messages: readonly { readonly code: string; readonly message: string }[];
    };
    readonly info: { readonly totalVertexCount: number; readonly totalTriangleCount: number };
  }
  const validator: { validateBytes(data: Uint8Array): Promise<Report> };
  export default validator;
}
