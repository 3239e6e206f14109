/** What the page uses of htm/preact/standalone, which carries no types of its own. */
export interface VNode {
  readonly type: unknown;
  readonly key: unknown;
}
export type Child = VNode | string | number | boolean | null | undefined | readonly Child[];
export declare function html(strings: TemplateStringsArray, ...values: unknown[]): VNode;
export declare function render(tree: VNode, parent: Element): void;
export declare function useState<S>(initial: S | (() => S)): [S, (next: S | ((before: S) => S)) => void];
export declare function useEffect(effect: () => undefined | (() => void), inputs?: readonly unknown[]): void;
export declare function useLayoutEffect(effect: () => undefined | (() => void), inputs?: readonly unknown[]): void;
export declare function useRef<T>(initial: T): { current: T };
export declare function useMemo<T>(make: () => T, inputs: readonly unknown[]): T;
