namespace Capacityplan.Core.Graphs;

/// <summary>A worker's ready tasks: it takes the newest itself, thieves take the oldest.</summary>
internal struct TaskDeque
{
    // A ring whose length is a power of two.
    private int[]? _ring;
    private int _oldest;

    public int Count { get; private set; }

    public void Clear() => Count = 0;

    public void Push(int task)
    {
        int length = _ring?.Length ?? 0;
        if (Count == length)
        {
            int[] wider = new int[Math.Max(8, 2 * length)];
            for (int i = 0; i < Count; i++)
                wider[i] = _ring![(_oldest + i) & (length - 1)];
            _ring = wider;
            _oldest = 0;
        }

        _ring![(_oldest + Count) & (_ring.Length - 1)] = task;
        Count++;
    }

    public int PopNewest()
    {
        Count--;
        return _ring![(_oldest + Count) & (_ring.Length - 1)];
    }

    public int TakeOldest()
    {
        int task = _ring![_oldest];
        _oldest = (_oldest + 1) & (_ring.Length - 1);
        Count--;
        return task;
    }
}
