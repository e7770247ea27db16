namespace Capacityplan.Core.Jobs;

/// <summary>A sum that carries what rounding takes away.</summary>
/// <remarks>A. Neumaier, "Rundungsfehleranalyse einiger Verfahren zur Summation endlicher Summen", ZAMM 54 (1974).</remarks>
internal struct CarriedSum
{
    private double _sum;
    private double _carried;

    public readonly double Total => _sum + _carried;

    public void Add(double value)
    {
        double sum = _sum + value;
        _carried += Math.Abs(_sum) >= Math.Abs(value) ? _sum - sum + value : value - sum + _sum;
        _sum = sum;
    }
}
