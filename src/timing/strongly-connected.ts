/** Strongly connected components, each before those it leads to (Tarjan, 1972). */
export function stronglyConnected(nodes: readonly number[], next: (node: number) => readonly number[]): number[][] {
  const order = new Map<number, number>();
  const low = new Map<number, number>();
  const stack: number[] = [];
  const onStack = new Set<number>();
  const result: number[][] = [];
  const visit = (node: number): void => {
    order.set(node, order.size);
    low.set(node, order.get(node) ?? 0);
    stack.push(node);
    onStack.add(node);
    for (const other of next(node)) {
      if (!order.has(other)) {
        visit(other);
        low.set(node, Math.min(low.get(node) ?? 0, low.get(other) ?? 0));
      } else if (onStack.has(other)) low.set(node, Math.min(low.get(node) ?? 0, order.get(other) ?? 0));
    }
    if (low.get(node) !== order.get(node)) return;
    const component: number[] = [];
    for (let member = -1; member !== node;) {
      member = stack.pop() ?? node;
      onStack.delete(member);
      component.push(member);
    }
    result.unshift(component);
  };
  for (const node of nodes) if (!order.has(node)) visit(node);
  return result;
}
