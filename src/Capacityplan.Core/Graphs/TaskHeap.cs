namespace Capacityplan.Core.Graphs;

/// <summary>Tasks by a key, the smallest first; of equal keys the smallest task.</summary>
internal sealed class TaskHeap
{
    private double[] _keys = new double[64];
    private int[] _tasks = new int[64];

    public int Count { get; private set; }

    /// <summary>The smallest key; there has to be a task.</summary>
    public double Key => _keys[0];

    /// <summary>The task of the smallest key; there has to be one.</summary>
    public int Task => _tasks[0];

    public void Clear() => Count = 0;

    public void Push(double key, int task)
    {
        if (Count == _keys.Length)
        {
            Array.Resize(ref _keys, 2 * Count);
            Array.Resize(ref _tasks, 2 * Count);
        }

        double[] keys = _keys;
        int[] tasks = _tasks;
        int at = Count++;
        while (at > 0)
        {
            int above = (at - 1) >> 1;
            if (!(key < keys[above] || key == keys[above] && task < tasks[above]))
                break;
            keys[at] = keys[above];
            tasks[at] = tasks[above];
            at = above;
        }

        keys[at] = key;
        tasks[at] = task;
    }

    public int Pop()
    {
        double[] keys = _keys;
        int[] tasks = _tasks;
        int first = tasks[0];
        int last = --Count;
        double key = keys[last];
        int task = tasks[last];
        int at = 0;
        while (true)
        {
            int below = 2 * at + 1;
            if (below >= last)
                break;
            if (below + 1 < last && (keys[below + 1] < keys[below] || keys[below + 1] == keys[below] && tasks[below + 1] < tasks[below]))
                below++;
            if (!(keys[below] < key || keys[below] == key && tasks[below] < task))
                break;
            keys[at] = keys[below];
            tasks[at] = tasks[below];
            at = below;
        }

        keys[at] = key;
        tasks[at] = task;
        return first;
    }
}
