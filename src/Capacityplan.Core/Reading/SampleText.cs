using System.Globalization;
using System.Text;
using Capacityplan.Core.Jobs;

namespace Capacityplan.Core.Reading;

/// <summary>
/// The text form of a sample, which <see cref="SampleReader"/> reads back to the last digit: the heading "seconds", then a line
/// for each value, "0.0123", or for one that stands for several, "133 x 0.0123".
/// </summary>
public static class SampleText
{
    /// <summary>Writes a sample; one condensed takes at most about half a megabyte.</summary>
    /// <param name="sizes">The sample.</param>
    public static string Of(SampleSizes sizes)
    {
        ArgumentNullException.ThrowIfNull(sizes);
        var text = new StringBuilder("seconds\n");
        for (var i = 0; i < sizes.Values.Count; i++)
        {
            if (!sizes.Counts.IsEmpty && sizes.Counts[i] > 1)
                text.Append(CultureInfo.InvariantCulture, $"{sizes.Counts[i]} x ");
            text.Append(CultureInfo.InvariantCulture, $"{sizes.Values[i]:R}\n");
        }

        return text.ToString();
    }
}
