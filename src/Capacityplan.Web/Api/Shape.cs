using System.Collections.Concurrent;
using System.Collections.Frozen;
using System.ComponentModel.DataAnnotations;
using System.Globalization;
using System.Reflection;
using System.Text.Json;

namespace Capacityplan.Web.Api;

/// <summary>The fields of a request type and what each may hold.</summary>
internal sealed class Shape
{
    private static readonly ConcurrentDictionary<Type, Shape> s_known = new();

    private readonly Type _type;
    private readonly FrozenDictionary<string, ShapeField> _fields;

    private Shape(Type type)
    {
        _type = type;
        ShapeField[] fields = [.. type.GetProperties(BindingFlags.Instance | BindingFlags.Public).Select(property => new ShapeField(property))];
        _fields = fields.ToFrozenDictionary(field => field.Name, StringComparer.Ordinal);
        Required = [.. fields.Where(field => field.IsRequired)];
    }

    /// <summary>The fields that have to be given, in the order declared.</summary>
    public IReadOnlyList<ShapeField> Required { get; }

    /// <summary>The shape of a type.</summary>
    public static Shape Of(Type type) => s_known.GetOrAdd(type, static known => new Shape(known));

    /// <summary>A new instance with nothing given.</summary>
    public object Create() => Activator.CreateInstance(_type)!;

    /// <summary>The field of a name; null where there is none.</summary>
    public ShapeField? Find(string name) => _fields.GetValueOrDefault(name);

    /// <summary>The field of a name in other letter case; null where there is none.</summary>
    public ShapeField? FindAnyCase(string name) =>
        _fields.Values.FirstOrDefault(field => string.Equals(field.Name, name, StringComparison.OrdinalIgnoreCase));
}

/// <summary>A field of a request and what it may hold, as its attributes say.</summary>
internal sealed class ShapeField
{
    private readonly PropertyInfo _property;
    private readonly RangeAttribute? _range;
    private readonly RegularExpressionAttribute? _pattern;

    public ShapeField(PropertyInfo property)
    {
        _property = property;
        Name = JsonNamingPolicy.CamelCase.ConvertName(property.Name);
        Type = Nullable.GetUnderlyingType(property.PropertyType) ?? property.PropertyType;
        IsRequired = property.IsDefined(typeof(RequiredAttribute));
        MostItems = property.GetCustomAttribute<MaxLengthAttribute>()?.Length;
        LeastItems = property.GetCustomAttribute<MinLengthAttribute>()?.Length;
        _range = property.GetCustomAttribute<RangeAttribute>();
        _pattern = property.GetCustomAttribute<RegularExpressionAttribute>();
    }

    /// <summary>Its name in JSON.</summary>
    public string Name { get; }

    /// <summary>Its type, without "or nothing".</summary>
    public Type Type { get; }

    /// <summary>True where it has to be given.</summary>
    public bool IsRequired { get; }

    /// <summary>The most items of a list, or characters of a text; null where there is no limit of its own.</summary>
    public int? MostItems { get; }

    /// <summary>The least items of a list; null where it may be empty.</summary>
    public int? LeastItems { get; }

    /// <summary>The type of a list's items; null where the type is no list.</summary>
    public static Type? ItemType(Type type) =>
        type.IsGenericType && type.GetGenericTypeDefinition() == typeof(IReadOnlyList<>) ? type.GetGenericArguments()[0] : null;

    /// <summary>Puts a value in.</summary>
    public void Set(object owner, object value) => _property.SetValue(owner, value);

    /// <summary>What speaks against a number; null where nothing does. A list's range is that of its items.</summary>
    public string? Objection(double number)
    {
        if (_range is null)
            return null;
        double least = Convert.ToDouble(_range.Minimum, CultureInfo.InvariantCulture);
        double most = Convert.ToDouble(_range.Maximum, CultureInfo.InvariantCulture);
        bool within = (_range.MinimumIsExclusive ? number > least : number >= least)
            && (_range.MaximumIsExclusive ? number < most : number <= most);
        if (within)
            return null;
        return _range.MinimumIsExclusive
            ? $"it has to be above {Written(least)} and {(_range.MaximumIsExclusive ? "below" : "at most")} {Written(most)}"
            : $"it has to be from {Written(least)} to {Written(most)}";
    }

    /// <summary>What speaks against a text; null where nothing does.</summary>
    public string? Objection(string text)
    {
        if (IsRequired && string.IsNullOrWhiteSpace(text))
            return "it has to be a text that is not blank";
        if (text.Length > MostItems)
            return FormattableString.Invariant($"it has {text.Length:#,0} characters, {MostItems:#,0} are the most");
        return _pattern is null || _pattern.IsValid(text) ? null : _pattern.ErrorMessage;
    }

    private static string Written(double bound) =>
        bound.ToString(Math.Abs(bound) is > 0 and < 1e-4 ? "0.##e+0" : "#,0.######", CultureInfo.InvariantCulture);
}
